using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Exports.Tests;

/// <summary>Runs a target into an empty folder of its own.</summary>
internal sealed class Exporting : IDisposable
{
    public string Folder { get; } = Directory.CreateTempSubdirectory("imbrex-export-").FullName;

    public List<double> Progress { get; } = [];

    public async Task<string> Run(IExportTarget target, IMosaicImage image, CancellationToken cancellation, params (string Name, string Value)[] parameters)
    {
        var request = new ExportRequest
        {
            Image = image,
            Folder = Folder,
            BaseName = "quarry",
            Parameters = ParameterValues.Bind(target.Description.Parameters, parameters.ToDictionary(p => p.Name, p => p.Value)),
        };
        ExportReceipt receipt = await target.ExportAsync(request, new Immediate(Progress), cancellation);
        ExportedFile file = receipt.Files.Single();
        if (file != await ExportedFile.MeasureAsync(Folder, file.Path, cancellation))
            throw new InvalidOperationException("The receipt is not true.");
        return Path.Combine(Folder, file.Path);
    }

    public void Dispose() => Directory.Delete(Folder, recursive: true);

    private sealed class Immediate(List<double> seen) : IProgress<double>
    {
        public void Report(double value)
        {
            lock (seen)
                seen.Add(value);
        }
    }
}
