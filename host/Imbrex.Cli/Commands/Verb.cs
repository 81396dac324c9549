using System.CommandLine;
using System.Runtime.CompilerServices;

namespace Imbrex.Cli.Commands;

/// <summary>What the command line can begin with: a verb, or a group of verbs.</summary>
internal interface IVerb
{
    /// <summary>The parser's command.</summary>
    Command Build(CommandContext context);
}

/// <summary>
/// One verb of the command line. A subclass holds its options as fields, adds them in <see cref="Define"/>, and does the work in
/// <see cref="RunAsync"/>: it throws what the user must mend and returns a <see cref="VerbResult"/>.
/// </summary>
internal abstract class Verb(string name, string summary, params string[] examples) : IVerb
{
    public string Name { get; } = name;

    /// <summary>Command lines that work, for the help.</summary>
    public IReadOnlyList<string> Examples { get; } = examples;

    public Command Build(CommandContext context)
    {
        var command = new VerbCommand(Name, summary, Examples);
        Define(command);
        command.SetAction(async (given, cancellation) =>
        {
            if (ReadsPictures)
                SilenceLibvips();
            VerbResult result = await RunAsync(given, context, cancellation);
            if (!EndsWhenCancelled)
                cancellation.ThrowIfCancellationRequested();
            return context.Terminal.Finish(CommandLine.VerbOf(given.CommandResult.Command), result);
        });
        return command;
    }

    /// <summary>Whether a cancellation is the ordinary end of this verb, and nothing that went wrong.</summary>
    protected virtual bool EndsWhenCancelled => false;

    /// <summary>Whether the verb may open pictures. To load libvips takes longer than a verb that only computes.</summary>
    protected virtual bool ReadsPictures => true;

    /// <summary>Adds arguments and options.</summary>
    protected abstract void Define(Command command);

    /// <summary>Does the work.</summary>
    protected abstract Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation);

    // libvips tells of damaged files twice, as an error to us and as a warning on stderr; the first is enough.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static void SilenceLibvips() => NetVips.Log.SetLogHandler("VIPS", NetVips.Enums.LogLevelFlags.All, (_, _, _) => { });
}

/// <summary>The parser's command that remembers the verb's examples.</summary>
internal sealed class VerbCommand(string name, string summary, IReadOnlyList<string> examples) : Command(name, summary)
{
    public IReadOnlyList<string> Examples { get; } = examples;
}
