using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>Writes down the size of the picture.</summary>
public sealed class ListingExport : IExportTarget
{
    public PartDescription Description { get; } = new("listing", "The size of the picture in a text file", ParameterDefinition.Flag("long", "More words"));

    public async Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        string name = request.BaseName + ".txt";
        await File.WriteAllTextAsync(Path.Combine(request.Folder, name), $"{request.Image.Width} x {request.Image.Height}\n", cancellation);
        return new([await ExportedFile.MeasureAsync(request.Folder, name, cancellation)]);
    }
}
