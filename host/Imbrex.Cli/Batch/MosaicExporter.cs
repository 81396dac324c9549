using Imbrex.Engine;
using Imbrex.Engine.Delivery;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Batch;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Cli.Batch;

/// <summary>Exports a merged picture as <c>imbrex export</c> does.</summary>
internal sealed class MosaicExporter(CommandContext context) : IMosaicExporter
{
    public Task<ExportReceipt> ExportAsync(BatchMosaic mosaic, string target, string folder, IReadOnlyDictionary<string, string> parameters,
        bool replace, IProgress<StageProgress> progress, CancellationToken cancellation) =>
        ExportAsync(mosaic.MosaicFile, target, folder, mosaic.Take, parameters, replace, progress, cancellation);

    /// <summary>Exports under a name; without one, the folder of mosaic.json gives it.</summary>
    public async Task<ExportReceipt> ExportAsync(string mosaicFile, string target, string folder, string? baseName,
        IReadOnlyDictionary<string, string> parameters, bool replace, IProgress<StageProgress> progress, CancellationToken cancellation)
    {
        IExportTarget export = context.Catalogue.Export(target);
        ParameterValues values = ParameterValues.Bind(export.Description.Parameters, parameters);
        MosaicDocument mosaic = JsonDocuments.Read<MosaicDocument>(mosaicFile, MosaicDocument.SchemaName);
        string source = Path.GetDirectoryName(Path.GetFullPath(mosaicFile))!;
        using MasterImage image = MasterImage.Open(mosaic, source);
        return await ExportRunner.RunAsync(export, image, folder, baseName ?? Path.GetFileName(source), values, replace, progress, cancellation);
    }
}
