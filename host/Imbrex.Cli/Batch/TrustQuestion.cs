using Imbrex.Cli.Output;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;

namespace Imbrex.Cli.Batch;

/// <summary>Asks before a script runs with the user's own rights: once for each file, and again when it has changed.</summary>
internal static class TrustQuestion
{
    // So many lines of comment say what a script is.
    private const int MostLines = 12;

    /// <summary>Returns where the user trusts these very bytes, now or since before.</summary>
    /// <param name="script">The script, as it will be compiled.</param>
    /// <param name="given">Whether the yes is on the command line.</param>
    /// <param name="store">What is trusted already.</param>
    /// <param name="terminal">Where to ask.</param>
    /// <exception cref="RefusalException">The answer is no, or nobody is there to ask.</exception>
    public static void Ask(ScriptSource script, bool given, TrustStore store, Terminal terminal)
    {
        if (store.IsTrusted(script.Sha256))
            return;
        string name = Path.GetFileName(script.Path);
        if (!given)
        {
            if (terminal.Json || Console.IsInputRedirected || Console.IsErrorRedirected)
            {
                throw new RefusalException($"{name} {State(name, store)}, and nobody is there to ask. SHA-256 {script.Sha256}.", script.Path,
                    "Read it: it runs with your own rights. Then say yes with --trust, which is remembered for just these bytes.");
            }
            Show(script, name, store, terminal);
            if (Console.ReadLine()?.Trim() is not ("y" or "Y" or "yes"))
                throw new RefusalException($"{name} is not trusted and was not run.", script.Path, "Read it first; nothing was changed.");
        }
        store.Trust(new(name, script.Sha256));
    }

    private static string State(string name, TrustStore store) => store.KnowsName(name) ? "has changed since you trusted it" : "is not trusted yet";

    private static void Show(ScriptSource script, string name, TrustStore store, Terminal terminal)
    {
        terminal.Note($"{name} {State(name, store)}.");
        terminal.Note($"  file     {Path.GetFullPath(script.Path)}, {script.Lines.Count} lines, nobody's signature");
        terminal.Note($"  SHA-256  {script.Sha256}");
        terminal.Note("  rights   yours: it can read, change and remove your files, use the network and start programs");
        foreach (string line in script.Lines.TakeWhile(line => line.StartsWith("//", StringComparison.Ordinal)).Take(MostLines))
            terminal.Note($"  says     {line[2..].Trim()}");
        terminal.Error.Write("Run it, and trust just these bytes from now on? [y/N] ");
    }
}
