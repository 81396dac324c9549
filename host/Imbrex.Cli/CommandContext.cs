using Imbrex.Cli.Output;

namespace Imbrex.Cli;

/// <summary>What a verb works with.</summary>
internal sealed class CommandContext(Terminal terminal) : IDisposable
{
    public Terminal Terminal { get; } = terminal;

    public void Dispose() => Terminal.Dispose();
}
