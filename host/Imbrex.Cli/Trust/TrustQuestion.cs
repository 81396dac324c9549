using Imbrex.Cli.Output;
using Imbrex.Sdk;

namespace Imbrex.Cli.Trust;

/// <summary>Something that would run with the user's own rights.</summary>
/// <param name="Name">What it is called.</param>
/// <param name="State">Why there is a question, as the rest of a sentence: <c>is not trusted yet</c>.</param>
/// <param name="Where">Its file or folder.</param>
/// <param name="Sha256">Hash of what would run.</param>
/// <param name="Facts">What else there is to know, by a word for each.</param>
/// <param name="Question">What a yes says.</param>
/// <param name="Remedy">How to say yes where nobody is there to ask.</param>
internal sealed record TrustMatter(string Name, string State, string Where, string Sha256, IReadOnlyList<(string Word, string Fact)> Facts, string Question, string Remedy)
{
    /// <summary>What a batch script or a compiled plugin asks for.</summary>
    public const string AllRights = "yours: it can read, change and remove your files, use the network and start programs";
}

/// <summary>Asks before anything runs with the user's own rights.</summary>
/// <param name="terminal">Where to ask.</param>
/// <param name="cancellation">The user's wish to stop, which is no answer.</param>
internal sealed class TrustQuestion(Terminal terminal, CancellationToken cancellation)
{
    /// <summary>Returns on a yes.</summary>
    /// <param name="matter">What is asked about.</param>
    /// <param name="given">Whether the yes is on the command line.</param>
    /// <exception cref="RefusalException">The answer is no, or nobody is there to ask.</exception>
    public void Ask(TrustMatter matter, bool given)
    {
        if (given)
            return;
        if (terminal.Json || Console.IsInputRedirected || Console.IsErrorRedirected)
            throw new RefusalException($"{matter.Name} {matter.State}, and nobody is there to ask. SHA-256 {matter.Sha256}.", matter.Where, matter.Remedy);
        terminal.Note($"{matter.Name} {matter.State}.");
        foreach ((string word, string fact) in matter.Facts)
            terminal.Note($"  {word,-8} {fact}");
        terminal.Note($"  {"SHA-256",-8} {matter.Sha256}");
        terminal.Note($"  {"rights",-8} {TrustMatter.AllRights}");
        terminal.Error.Write($"{matter.Question} [y/N] ");
        if (Answer()?.Trim() is not ("y" or "Y" or "yes"))
            throw new RefusalException($"{matter.Name} is not trusted and was left alone.", matter.Where, "Read it first; nothing was changed.");
    }

    // A read from a terminal cannot be cancelled; it is left behind.
    private string? Answer() => Task.Run(Console.ReadLine, CancellationToken.None).WaitAsync(cancellation).GetAwaiter().GetResult();
}
