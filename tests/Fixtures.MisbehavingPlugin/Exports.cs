using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>Does not hear a cancellation.</summary>
public sealed class DeafExport : IExportTarget
{
    public PartDescription Description { get; } = new("deaf", "Does not hear a cancellation");

    // It blocks before it gives back a task, which is the worst that it can do.
    public Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        Misdeeds.Count("deaf");
        while (true)
            Thread.Sleep(1000);
    }
}

/// <summary>Gives back nothing to wait for.</summary>
public sealed class NoTask : IExportTarget
{
    public PartDescription Description { get; } = new("no-task", "Gives back nothing to wait for");

    public Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        Misdeeds.Count("no-task");
        return null!;
    }
}

/// <summary>Gives back no receipt.</summary>
public sealed class NoReceipt : IExportTarget
{
    public PartDescription Description { get; } = new("no-receipt", "Gives back no receipt");

    public Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation) => Task.FromResult<ExportReceipt>(null!);
}

/// <summary>Throws at work.</summary>
public sealed class ThrowingExport : IExportTarget
{
    public PartDescription Description { get; } = new("throwing-export", "Throws at work");

    public Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        Misdeeds.Count("throwing-export");
        throw new InvalidOperationException("no ink today");
    }
}
