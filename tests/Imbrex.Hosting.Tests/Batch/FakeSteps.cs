using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Batch;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Tests.Batch;

/// <summary>Steps that write small files and remember what they were asked.</summary>
internal sealed class FakeSteps : ITakePlanner, ITakeMerger, IMosaicExporter
{
    public List<string> Calls { get; } = [];

    public BatchSteps Steps => new(this, this, this);

    public Task<PlanDocument> PlanAsync(BatchPlanRequest request, CancellationToken cancellation)
    {
        Calls.Add($"plan {request.Layout} {request.Format.Width}x{request.Format.Height}");
        return Task.FromResult(new PlanDocument
        {
            Schema = PlanDocument.SchemaName,
            Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 6000, HeightPx = 4000 },
            Format = new() { WidthMm = request.Format.Width, HeightMm = request.Format.Height },
            Tiles = [new() { Id = "t1", XMm = 0, YMm = 0 }],
        });
    }

    public Task<BatchMosaic> MergeAsync(BatchTake take, string folder, bool replace, IProgress<StageProgress> progress, CancellationToken cancellation)
    {
        Calls.Add($"merge {take.Name}");
        if (File.ReadAllText(take.PlanFile).Contains("bad", StringComparison.Ordinal))
            throw new InputException("A frame is missing.", take.PlanFile, "Shoot it again.");
        Directory.CreateDirectory(folder);
        File.WriteAllText(Path.Combine(folder, "master.tif"), "pixels of " + take.Name);
        string mosaic = Path.Combine(folder, "mosaic.json");
        File.WriteAllText(mosaic, take.Name);
        return Task.FromResult(new BatchMosaic(take.Name, mosaic, ["a seam crosses a cloud"]));
    }

    public async Task<ExportReceipt> ExportAsync(BatchMosaic mosaic, string target, string folder, IReadOnlyDictionary<string, string> parameters,
        bool replace, IProgress<StageProgress> progress, CancellationToken cancellation)
    {
        Calls.Add($"export {File.ReadAllText(mosaic.MosaicFile)} {target}");
        Directory.CreateDirectory(folder);
        await File.WriteAllTextAsync(Path.Combine(folder, "picture.jpg"), target, cancellation);
        return new([await ExportedFile.MeasureAsync(folder, "picture.jpg", cancellation)]);
    }
}
