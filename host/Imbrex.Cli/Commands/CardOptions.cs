using System.CommandLine;
using Imbrex.Cli.Output;
using Imbrex.Engine.Cards;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>What plan prints on paper beside the plan itself.</summary>
internal sealed class CardOptions
{
    private readonly Option<IReadOnlyList<string>> _card = new("--card")
    {
        HelpName = "FILE",
        Description = "A card for the field: .pdf or .html; may be repeated",
        Arity = ArgumentArity.OneOrMore,
        DefaultValueFactory = _ => [],
        CustomParser = result => [.. result.Tokens.Select(token => token.Value)],
    };
    private readonly Option<string?> _paper = new("--paper") { HelpName = "NAME", Description = $"Paper of the card: {string.Join(" or ", Paper.ForCards.Select(paper => paper.Name))}; without it, a5" };

    public void AddTo(Command command)
    {
        command.Add(_card);
        command.Add(_paper);
    }

    /// <summary>The files to write. Names that cannot be, and files that exist, are refused before the work begins.</summary>
    public IReadOnlyList<string> Files(ParseResult given, bool force)
    {
        ThePaper(given);
        IReadOnlyList<string> cards = given.GetValue(_card) ?? [];
        foreach (string file in cards)
        {
            if (!IsPdf(file) && !IsHtml(file))
                throw new InputException($"--card is '{file}', which ends neither in .pdf nor in .html.", "--card", "Name the card's file, such as card.pdf.");
            OutputFile.RefuseExisting(file, force);
        }
        return cards;
    }

    /// <summary>Writes them.</summary>
    public void Write(ParseResult given, PlanResult result, Terminal terminal)
    {
        Paper paper = ThePaper(given);
        foreach (string file in given.GetValue(_card) ?? [])
        {
            FieldCard card = FieldCard.Of(result.Plan!, result.Verdict);
            IReadOnlyList<Sheet> sheets = IsPdf(file) ? CardSheets.Of(card, paper) : [];
            Save(file, IsPdf(file) ? PdfSheets.Write(card.Title, sheets) : CardHtml.Write(card, paper));
            terminal.Say(sheets.Count > 1 ? $"Card: {file}, on {sheets.Count} pages: it does not fit on one of {paper.Name} in legible type" : $"Card: {file}");
        }
    }

    private Paper ThePaper(ParseResult given) => given.GetValue(_paper) is { } name ? Paper.Named(name) : Paper.A5;

    private static void Save(string file, byte[] content)
    {
        OutputFile.MakeFolder(Path.GetDirectoryName(Path.GetFullPath(file))!);
        OutputFile.Write(file, content);
    }

    private static bool IsPdf(string file) => file.EndsWith(".pdf", StringComparison.OrdinalIgnoreCase);

    private static bool IsHtml(string file) => file.EndsWith(".html", StringComparison.OrdinalIgnoreCase);
}
