using System.CommandLine;
using Imbrex.Cli.Arguments;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Planning;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>What check and plan have in common: kit, layout, format and the numbers that overrule the kit's.</summary>
internal sealed class PlanningOptions
{
    private readonly Option<string?> _kit = new("--kit") { HelpName = "FILE", Description = "The kit (JSON): body, back and, if known, lens and camera; back.adapter may name an adapter script (.csx) beside it" };
    private readonly Option<SensorPart?> _sensor = new("--sensor")
    {
        HelpName = "WxH/PxP",
        Description = "A sensor alone instead of a kit, such as 36x24/6000x4000; reach is then not judged",
        CustomParser = result => SensorText.Parse(result.Tokens[0].Value, "--sensor"),
    };
    private readonly FormatOptions _format = new();
    private readonly Option<IReadOnlyDictionary<string, string>> _set = CommonOptions.Set();
    private readonly Option<double?> _overlap = CommonOptions.Length("--overlap", "Required overlap, mm; without it the kit's, or 10 % of the sensor's short side");
    private readonly Option<Tolerance?> _tolerance = CommonOptions.Tolerance();
    private readonly PictureOptions _picture = new();
    private readonly Option<string?> _name = new("--name") { HelpName = "TEXT", Description = "Name of the picture" };

    public void AddTo(Command command)
    {
        command.Add(_kit);
        command.Add(_sensor);
        _format.AddTo(command);
        command.Add(_set);
        command.Add(_overlap);
        command.Add(_tolerance);
        command.Add(_name);
        _picture.AddTo(command);
    }

    public string? KitFile(ParseResult given) => given.GetValue(_kit);

    public double? Overlap(ParseResult given) => given.GetValue(_overlap);

    public Tolerance? Tolerance(ParseResult given) => given.GetValue(_tolerance);

    /// <summary>A plan's picture with what the command line says of it; null where neither says anything.</summary>
    public PicturePart? Picture(ParseResult given, PicturePart? planned) => _picture.Over(given, planned);

    /// <summary>What the command line asks for.</summary>
    public PlanningWish Wish(ParseResult given, string layout)
    {
        string? kit = given.GetValue(_kit);
        SensorPart? sensor = given.GetValue(_sensor);
        if (kit is null == sensor is null)
            throw new InputException("Give --kit or --sensor, and not both.", "--kit", "Name the kit's file, or a sensor such as 36x24/6000x4000.");
        KitDocument? known = kit is null ? null : KitFiles.ReadKit(kit);
        return _format.Over(given, new()
        {
            Layout = layout,
            Kit = known,
            Sensor = sensor,
            Format = default,
            Parameters = given.GetValue(_set),
            Overlap = given.GetValue(_overlap),
            Tolerance = given.GetValue(_tolerance)?.Position,
            AngularTolerance = given.GetValue(_tolerance)?.Angle,
            Name = given.GetValue(_name),
            Picture = _picture.Over(given, null),
        });
    }
}
