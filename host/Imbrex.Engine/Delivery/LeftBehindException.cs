namespace Imbrex.Engine.Delivery;

/// <summary>The user has cancelled, and an export target does not stop.</summary>
/// <param name="target">The target.</param>
/// <param name="folder">Where it may still be writing.</param>
public sealed class LeftBehindException(string target, string folder) : OperationCanceledException(FormattableString.Invariant(
    $"Cancelled. The export target {target} did not stop within {ExportRunner.TimeToStop.TotalSeconds:0} s and was left behind."))
{
    /// <summary>Where it may still be writing.</summary>
    public string Folder { get; } = folder;
}
