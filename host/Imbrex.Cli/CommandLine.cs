using System.CommandLine;
using System.CommandLine.Parsing;
using System.Reflection;
using Imbrex.Cli.Commands;
using Imbrex.Cli.Output;

namespace Imbrex.Cli;

/// <summary>From the words on the command line to an exit code: parses, runs one verb, and says what went wrong.</summary>
internal static class CommandLine
{
    public static async Task<int> RunAsync(string[] args)
    {
        if (args is ["--version"])
        {
            Console.WriteLine(ProgramVersion);
            return ExitCodes.Done;
        }
        using var interruption = new Interruption();
        // Known before the parser is: a usage error must already be told in the right form.
        var terminal = new Terminal(json: args.Contains("--json"), debug: args.Contains("--debug"));
        using var context = new CommandContext(terminal, interruption.Token);
        string verb = string.Join(' ', args.Where(word => !word.StartsWith('-')).Take(args is [PluginVerbs.Name, ..] ? 2 : 1));
        try
        {
            return await RunAsync(args, context, interruption.Token);
        }
        catch (Exception e)
        {
            // A verb may pack a cancellation into another exception; the user's wish decides.
            return terminal.Failure(verb, interruption.Token.IsCancellationRequested ? new OperationCanceledException(null, e) : e);
        }
    }

    /// <summary>Version of the program, without the build's hash.</summary>
    public static string ProgramVersion { get; } =
        typeof(CommandLine).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()!.InformationalVersion.Split('+')[0];

    /// <summary>The words that lead to a command, without the program's own.</summary>
    internal static string VerbOf(Command command) => command.Parents.OfType<Command>().FirstOrDefault() is { } group and not RootCommand ? $"{VerbOf(group)} {command.Name}" : command.Name;

    /// <summary>One letter is one option, and an '@' in a file name is just an '@'.</summary>
    internal static ParserConfiguration Strict => new() { EnablePosixBundling = false, ResponseFileTokenReplacer = null };

    private static async Task<int> RunAsync(string[] args, CommandContext context, CancellationToken cancellation)
    {
        RootCommand root = Root(args, context);
        ParseResult parsed = CommandLineParser.Parse(root, args, Strict);
        if (UsageErrors.Find(parsed) is { } error)
            throw error;
        var invocation = new InvocationConfiguration
        {
            EnableDefaultExceptionHandler = false,
            ProcessTerminationTimeout = null,
            Output = context.Terminal.Out,
            Error = context.Terminal.Error,
        };
        return await parsed.InvokeAsync(invocation, cancellation);
    }

    private static RootCommand Root(string[] args, CommandContext context)
    {
        var root = new RootCommand("Plans, proves, merges and archives image mosaics made by sliding a digital body behind a view camera.");
        root.Directives.Clear();
        foreach (IVerb verb in Verbs.For(args))
            root.Add(verb.Build(context));
        root.Add(CommonOptions.Json);
        root.Add(CommonOptions.Debug);
        HelpTexts.Arrange(root);
        return root;
    }
}
