using System.Reflection;
using Imbrex.Cli.Batch;
using Imbrex.Cli.Commands;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using Imbrex.Hosting.Batch;
using Imbrex.Hosting.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;

namespace Imbrex.Cli.Demo;

/// <summary>
/// The whole job once through, in an invented scenario: a rail back made in a shop, on a field camera, records a slate quarry. Check, plan,
/// simulated capture, merge, export.
/// </summary>
internal sealed class DemoRun(CommandContext context, string folder, bool force)
{
    private const int Seed = 7;
    private const string Title = "Slate quarry, upper benches";

    /// <summary>What the simulated back does wrong: well inside the kit's own tolerance, as a careful operator would leave it.</summary>
    private static readonly CameraFaults Faults = new()
    {
        Seed = Seed,
        PositionSdMm = 0.12,
        PositionMaxMm = 0.28,
        RotationSdDeg = 0.1,
        RotationMaxDeg = 0.25,
        ImageDistanceMm = 150,
        GainSdStops = 0.06,
        GainColourSdStops = 0.02,
        ExposureStops = -0.2,
        FullWell = 40_000,
        ReadNoise = 0.0005,
    };

    /// <summary>Runs it.</summary>
    /// <exception cref="InputException">The folder exists, or cannot be written.</exception>
    public async Task<DemoResult> RunAsync(CancellationToken cancellation)
    {
        OutputFile.RefuseExisting(folder, force);
        using OutputFolder output = OutputFolder.Open(folder, removeContent: !force);
        var clock = new StageClock(TimeProvider.System, context.Terminal.Progress);
        PlanResult planned = clock.Run("planning", _ => Plan());
        string frames = Path.Combine(folder, "frames"), merged = Path.Combine(folder, "merged"), access = Path.Combine(folder, "access");
        TruthDocument truth = clock.Run("exposing", part => Shoot(planned.Plan!, frames, part, cancellation));
        MergeResult merge = MergeRunner.Run(new()
        {
            Plan = planned.Plan!,
            FramesFolder = frames,
            OutputFolder = merged,
            Force = force,
            Workers = Environment.ProcessorCount,
            ProgramVersion = CommandLine.ProgramVersion,
        }, context.Terminal.Progress, TimeProvider.System, cancellation);
        var delivery = new StageClock(TimeProvider.System, context.Terminal.Progress);
        ExportReceipt receipt = await delivery.RunAsync("exporting", () => ExportAsync(merge, access, cancellation));
        TruthTable table = TruthTable.Of(merge.Mosaic, truth);
        string report = Path.Combine(folder, MergeRunner.ReportName);
        OutputFile.Write(report, Engine.Reporting.MergeReport.Render(merge.Mosaic, planned.Verdict, merge.Preview, table.ToHtml()));
        output.Keep();
        return new(planned.Verdict, merge, table, [.. clock.Stages, .. merge.Stages, .. delivery.Stages], report, [.. receipt.Files.Select(file => Path.Combine(access, file.Path))]);
    }

    private PlanResult Plan()
    {
        byte[] kit = Kit();
        PlanResult planned = new KitPlanner(context.Catalogue).Plan(new()
        {
            Layout = "regular-grid",
            Kit = JsonDocuments.Parse<KitDocument>(kit, KitDocument.SchemaName, "the demo's kit"),
            Format = new(88, 42),
            Parameters = new Dictionary<string, string> { ["columns"] = "3", ["rows"] = "2", ["step-x"] = "27", ["step-y"] = "20" },
            Name = Title,
        });
        if (!planned.Verdict.Accepted)
            throw new RefusalException(planned.Verdict.Summary, "the demo's plan");
        PlanVerb.Write(Path.Combine(folder, BatchHost.PlanName), planned);
        OutputFile.Write(Path.Combine(folder, "kit.json"), kit);
        return planned;
    }

    private TruthDocument Shoot(PlanDocument plan, string frames, IProgress<double> progress, CancellationToken cancellation)
    {
        Canvas canvas = Canvas.Of(plan);
        var camera = new SimulatedCamera(new QuarryScene(Seed, canvas.Width, canvas.Height), plan, Faults);
        camera.Shoot(frames, force, Environment.ProcessorCount, new Forward(progress), cancellation);
        return camera.Truth;
    }

    private Task<ExportReceipt> ExportAsync(MergeResult merge, string access, CancellationToken cancellation) =>
        new MosaicExporter(context).ExportAsync(merge.MosaicFile, "jpeg-access", access, "quarry",
            new Dictionary<string, string> { ["long-side"] = "3000" }, force, context.Terminal.Progress, cancellation);

    // The kit that the examples use, carried inside the program so that the demo runs anywhere.
    private static byte[] Kit()
    {
        using Stream stream = Assembly.GetExecutingAssembly().GetManifestResourceStream("quarry-rail.json")!;
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        return memory.ToArray();
    }

    private sealed class Forward(IProgress<double> progress) : IProgress<Engine.StageProgress>
    {
        public void Report(Engine.StageProgress value) => progress.Report(value.Done);
    }
}

/// <summary>What the demo did.</summary>
internal sealed record DemoResult(VerdictDocument Verdict, MergeResult Merge, TruthTable Table, IReadOnlyList<StageTime> Stages, string Report, IReadOnlyList<string> Access);
