using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using Imbrex.Cli.Commands;

namespace Imbrex.Cli;

/// <summary>The help pages: the parser's, with examples or the exit codes at the end.</summary>
internal sealed class HelpTexts(HelpAction parsers) : SynchronousCommandLineAction
{
    public static void Arrange(RootCommand root)
    {
        HelpOption option = root.Options.OfType<HelpOption>().Single();
        option.Action = new HelpTexts((HelpAction)option.Action!);
    }

    public override bool ClearsParseErrors => true;

    public override int Invoke(ParseResult parseResult)
    {
        parsers.Invoke(parseResult);
        TextWriter output = parseResult.InvocationConfiguration.Output;
        if (parseResult.CommandResult.Command is VerbCommand verb)
            Write(output, "Examples:", verb.Examples);
        else
            Write(output, "Exit codes:", ["0 done", "1 usage, unreadable input, or output that cannot be written", "2 refused by a rule",
                "3 written, but something named was left out", "70 internal error", "130 cancelled"]);
        return ExitCodes.Done;
    }

    private static void Write(TextWriter output, string title, IReadOnlyList<string> lines)
    {
        output.WriteLine(title);
        foreach (string line in lines)
            output.WriteLine($"  {line}");
    }
}
