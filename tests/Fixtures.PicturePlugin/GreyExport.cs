using System.Runtime.Loader;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using NetVips;

namespace Fixtures;

/// <summary>Makes a grey picture with libvips. Its summary tells whose NetVips it was given, and the brightness that libvips measured.</summary>
public sealed class GreyExport : IExportTarget
{
    public PartDescription Description { get; } = new("grey", Measure());

    public Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation) =>
        Task.FromResult(new ExportReceipt([]));

    private static string Measure()
    {
        using Image black = Image.Black(8, 8);
        using Image grey = black + 117;
        return $"NetVips of {AssemblyLoadContext.GetLoadContext(typeof(Image).Assembly)!.Name}, grey of {grey.Avg()}";
    }
}
