using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Plugins;

/// <summary>A plugin's export target: failures carry its name.</summary>
internal sealed class GuardedExport(IExportTarget target, PartDescription description, PluginFile plugin) : IExportTarget
{
    private readonly PartGuard _guard = new(description.Name, plugin);

    public PartDescription Description => description;

    public Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation) =>
        _guard.CallAsync(() => target.ExportAsync(request, progress, cancellation));
}
