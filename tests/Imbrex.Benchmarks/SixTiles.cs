using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;

namespace Imbrex.Benchmarks;

/// <summary>Six frames of the invented quarry on disk, three by two, shot once for each size and kept in the temporary folder.</summary>
internal sealed class SixTiles
{
    public SixTiles(int widthPx)
    {
        Plan = new()
        {
            Schema = PlanDocument.SchemaName,
            Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = widthPx, HeightPx = widthPx * 2 / 3 },
            Format = new() { WidthMm = 88, HeightMm = 42 },
            Tiles = [.. from row in new[] { -10, 10 } from column in new[] { -27, 0, 27 }
                        select new TilePart { Id = $"r{row}c{column}", XMm = column, YMm = row }],
        };
        Canvas = Canvas.Of(Plan);
        Folder = Path.Combine(Path.GetTempPath(), $"imbrex-benchmark-{widthPx}");
        var camera = new SimulatedCamera(new QuarryScene(7, Canvas.Width, Canvas.Height), Plan, new CameraFaults
        {
            Seed = 7,
            PositionSdMm = 0.1,
            PositionMaxMm = 0.25,
            RotationSdDeg = 0.08,
            RotationMaxDeg = 0.2,
            GainSdStops = 0.05,
            ExposureStops = -0.2,
            FullWell = 40_000,
        });
        if (!File.Exists(Path.Combine(Folder, TruthDocument.FileName)))
            camera.Shoot(Folder, force: true, Environment.ProcessorCount);
        Truth = camera.Truth;
    }

    public PlanDocument Plan { get; }

    public Canvas Canvas { get; }

    public string Folder { get; }

    public TruthDocument Truth { get; }
}
