using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Plugins;

/// <summary>
/// A plugin's export target. Whoever runs exports watches over its files, down to the bytes, and over its cancellation; here it is seen to that one which has failed of its own fault is not called again.
/// </summary>
internal sealed class GuardedExport(IExportTarget target, PartDescription description, PartGuard guard) : IExportTarget
{
    public PartDescription Description => description;

    public async Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        guard.Demand();
        ExportReceipt? receipt;
        try
        {
            receipt = target.ExportAsync(request, progress, cancellation) is { } exporting ? await exporting.ConfigureAwait(false) : null;
        }
        // A full disk is no fault of the plugin.
        catch (Exception e) when (e is not (ImbrexException or OperationCanceledException or IOException or UnauthorizedAccessException))
        {
            throw guard.Failed(PartGuard.Words(e), e);
        }
        if (receipt?.Files is null || receipt.Files.Any(file => file is null))
            throw guard.Failed("ExportAsync returned no receipt.", null);
        return receipt;
    }
}
