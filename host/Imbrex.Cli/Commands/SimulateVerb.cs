using System.CommandLine;
using Imbrex.Cli.Arguments;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;

namespace Imbrex.Cli.Commands;

/// <summary>Shoots a plan with the simulated camera.</summary>
internal sealed class SimulateVerb() : Verb("simulate", "Makes the frames that a kit would record of a picture, faults included, and truth.json beside them",
    "imbrex simulate plan.json --out frames",
    "imbrex simulate plan.json --out frames --scene photograph.jpg --position-error 0.3 --rotation-error 0.2 --noise 40000")
{
    private readonly Argument<string> _plan = new("PLAN") { Description = "The plan (plan.json)" };
    private readonly Option<string> _out = CommonOptions.Out("FOLDER", "Folder for the frames and truth.json");
    private readonly Option<string?> _scene = new("--scene") { HelpName = "PICTURE", Description = "A photograph as the picture that the lens casts; without it, an invented slate quarry" };
    private readonly Option<int> _seed = new("--seed") { HelpName = "N", Description = "The same seed gives the same faults", DefaultValueFactory = _ => 1 };
    private readonly Option<double?> _position = CommonOptions.Length("--position-error", "Largest error of a tile's position on each axis, mm");
    private readonly Option<double?> _rotation = CommonOptions.NotNegative("--rotation-error", "DEG", "Largest error of a tile's rotation, degrees");
    private readonly Option<double?> _drift = CommonOptions.NotNegative("--drift", "STOPS", "Standard deviation of a frame's exposure, stops");
    private readonly Option<double?> _distance = new("--falloff")
    {
        HelpName = "MM",
        Description = "Image distance for the lens's natural falloff, mm; without it there is none",
        CustomParser = result => NumberText.Positive(result.Tokens[0].Value, "--falloff"),
    };
    private readonly Option<double?> _noise = new("--noise")
    {
        HelpName = "ELECTRONS",
        Description = "Shot noise of a sensor whose pixels hold so many electrons; without it there is none",
        CustomParser = result => NumberText.Positive(result.Tokens[0].Value, "--noise"),
    };
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override void Define(Command command)
    {
        _out.Required = true;
        command.Add(_plan);
        command.Add(_out);
        command.Add(_scene);
        command.Add(_seed);
        command.Add(_position);
        command.Add(_rotation);
        command.Add(_drift);
        command.Add(_distance);
        command.Add(_noise);
        command.Add(_force);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        PlanDocument plan = JsonDocuments.Read<PlanDocument>(given.GetRequiredValue(_plan), PlanDocument.SchemaName);
        string folder = given.GetRequiredValue(_out);
        double drift = given.GetValue(_drift) ?? 0;
        var camera = new SimulatedCamera(Scene(given, plan), plan, new CameraFaults
        {
            Seed = given.GetValue(_seed),
            PositionSdMm = (given.GetValue(_position) ?? 0) / 2,
            PositionMaxMm = given.GetValue(_position) ?? double.PositiveInfinity,
            RotationSdDeg = (given.GetValue(_rotation) ?? 0) / 2,
            RotationMaxDeg = given.GetValue(_rotation) ?? double.PositiveInfinity,
            GainSdStops = drift,
            // Two standard deviations of headroom keep the brightest parts from clipping.
            ExposureStops = -2 * drift,
            ImageDistanceMm = given.GetValue(_distance) ?? double.PositiveInfinity,
            FullWell = given.GetValue(_noise) ?? double.PositiveInfinity,
        });
        using OutputFolder output = OutputFolder.Open(folder);
        camera.Shoot(folder, given.GetValue(_force), Environment.ProcessorCount, context.Terminal.Progress, cancellation);
        output.Keep();
        string truth = Path.Combine(folder, TruthDocument.FileName);
        context.Terminal.Say($"{plan.Tiles.Count} frames in {folder}; where they really stood is in {truth}");
        return Task.FromResult(new VerbResult { Files = [.. camera.Truth.Tiles.Select(tile => Path.Combine(folder, tile.File)), truth], Data = camera.Truth });
    }

    private IScene Scene(ParseResult given, PlanDocument plan)
    {
        Canvas canvas = Canvas.Of(plan);
        return given.GetValue(_scene) is { } photograph ? PhotographScene.Load(photograph) : new QuarryScene(given.GetValue(_seed), canvas.Width, canvas.Height);
    }
}
