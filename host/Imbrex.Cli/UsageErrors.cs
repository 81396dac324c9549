using System.CommandLine;
using System.CommandLine.Parsing;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Cli;

/// <summary>Says what is wrong with a command line, and which word was probably meant.</summary>
internal static class UsageErrors
{
    /// <summary>The first fault, or null for a sound command line. A request for help is always sound.</summary>
    public static InputException? Find(ParseResult parsed)
    {
        if (parsed.Errors.Count == 0 || parsed.Action is HelpTexts)
            return null;
        Command command = parsed.CommandResult.Command;
        string where = command is RootCommand ? "command line" : $"imbrex {CommandLine.VerbOf(command)}";
        string help = command is RootCommand ? "Run imbrex --help for what there is." : $"Run {where} --help for what it takes.";
        if (parsed.UnmatchedTokens is [string word, ..])
            return Unmatched(word, command, where, help);
        ParseError first = parsed.Errors.OrderBy(error => error.SymbolResult is OptionResult).First();
        return first.SymbolResult switch
        {
            CommandResult when command.Subcommands.Count > 0 => new("No verb is given.", where, help),
            OptionResult { IdentifierToken: null } option => new($"{option.Option.Name} is missing.", where, help),
            OptionResult { Tokens.Count: 0 } option => new($"{option.Option.Name} needs a value ({option.Option.HelpName ?? "value"}).", where, help),
            OptionResult { Tokens.Count: > 1 } option => new($"{option.Option.Name} is given more than once.", where, "Give it once."),
            ArgumentResult { Tokens.Count: 0 } argument => new($"{argument.Argument.Name} is missing.", where, help),
            _ => new(first.Message, where, help),
        };
    }

    private static InputException Unmatched(string word, Command command, string where, string help)
    {
        if (word.StartsWith('-') && word.Length > 1)
            return new($"There is no option '{word}'.", where, NearestWord.Suggest(word, OptionNames(command)) ?? help);
        if (command.Subcommands.Count > 0)
            return new($"There is no verb '{word}'.", where, NearestWord.Suggest(word, command.Subcommands.Select(verb => verb.Name)) ?? help);
        return new($"'{word}' is one argument too many.", where, help);
    }

    private static IEnumerable<string> OptionNames(Command command) =>
        command.Options.Concat(command.Parents.OfType<Command>().SelectMany(parent => parent.Options.Where(option => option.Recursive)))
            .SelectMany(option => option.Aliases.Append(option.Name))
            .Where(name => name.StartsWith("--", StringComparison.Ordinal));
}
