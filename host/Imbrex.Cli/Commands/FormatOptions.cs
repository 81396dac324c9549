using System.CommandLine;
using Imbrex.Cli.Arguments;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Hosting.Planning;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>What is to be filled: a format, the largest of a shape in so many frames, or the image of a thing to be copied.</summary>
internal sealed class FormatOptions
{
    private readonly Option<TypedSize?> _format = CommonOptions.Format();
    private readonly Option<TypedSize?> _ratio = new("--ratio")
    {
        HelpName = "W:H",
        Description = "Instead of a format: the largest of this shape, such as 5:4, that the layout fills in --most-frames",
        CustomParser = result => new(RatioText.Parse(result.Tokens[0].Value, "--ratio")),
    };
    private readonly Option<int?> _mostFrames = new("--most-frames") { HelpName = "N", Description = "Most frames, with --ratio" };
    private readonly Option<TypedSize?> _thing = new("--object")
    {
        HelpName = "WxH",
        Description = "Instead of a format, for copy work: the size of the flat thing to be copied, mm; with --ppi. Magnification and format follow",
        CustomParser = result => new(SizeText.Parse(result.Tokens[0].Value, "--object")),
    };
    private readonly Option<double?> _ppi = new("--ppi")
    {
        HelpName = "N",
        Description = "Pixels to the inch of the thing to be copied",
        CustomParser = result => NumberText.Positive(result.Tokens[0].Value, "--ppi"),
    };

    public void AddTo(Command command)
    {
        foreach (Option option in new Option[] { _format, _ratio, _mostFrames, _thing, _ppi })
            command.Add(option);
    }

    /// <summary>A wish with its format.</summary>
    public PlanningWish Over(ParseResult given, PlanningWish wish)
    {
        (TypedSize? format, TypedSize? ratio, TypedSize? thing) = (given.GetValue(_format), given.GetValue(_ratio), given.GetValue(_thing));
        if (new[] { format, ratio, thing }.Count(one => one is not null) != 1)
            throw new InputException("Give one of --format, --ratio and --object.", "--format", "Give the rectangle to fill in mm, such as --format 90x44, or --ratio 5:4 --most-frames 12, or --object 600x450 --ppi 400.");
        Together(ratio is null, given.GetValue(_mostFrames) is null, "--ratio", "--most-frames", "the most frames, such as --most-frames 12");
        Together(thing is null, given.GetValue(_ppi) is null, "--object", "--ppi", "the pixels to the inch of the thing, such as --ppi 400");
        if (ratio is not null)
            return wish with { Format = ratio.Size, MostFrames = Frames(given.GetValue(_mostFrames)!.Value) };
        return thing is not null ? Copy(wish, new(thing.Size, given.GetValue(_ppi)!.Value)) : wish with { Format = format!.Size };
    }

    private static int Frames(int frames) => frames > 0 ? frames : throw new InputException($"--most-frames is {frames}.", "--most-frames", "Give 1 or more.");

    private static void Together(bool noFirst, bool noSecond, string first, string second, string what)
    {
        if (noFirst != noSecond)
            throw new InputException($"{(noFirst ? second : first)} is given without {(noFirst ? first : second)}.", noFirst ? first : second, $"{first} and {second} go together: {what}.");
    }

    private static PlanningWish Copy(PlanningWish wish, CopyWork copy)
    {
        if (wish.Picture is { FocusDistanceMm: not null } or { Magnification: not null })
            throw new InputException("--object and --ppi tell the magnification; a focus distance or another magnification is given too.", "--ppi", "Leave out --focus-distance and --magnification.");
        ISensor sensor = (ISensor?)wish.Kit?.Body ?? wish.Sensor!;
        return wish with
        {
            Format = copy.Format(sensor),
            Picture = (wish.Picture ?? new()) with { Magnification = copy.Magnification(sensor) },
            Notes = [.. wish.Notes, copy.Note(sensor, wish.Kit?.Lens?.FocalLengthMm)],
        };
    }
}
