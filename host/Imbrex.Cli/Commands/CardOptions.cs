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

    private readonly Option<string?> _mask = new("--mask") { HelpName = "FILE", Description = "A mask for the ground glass at full size: format, tiles, image circle (.pdf)" };
    private readonly Option<string?> _scale = new("--scale") { HelpName = "FILE", Description = "A strip at full size for the back's rail with the marks that this layout needs (.pdf)" };

    public void AddTo(Command command)
    {
        command.Add(_card);
        command.Add(_mask);
        command.Add(_scale);
        command.Add(_paper);
    }

    /// <summary>The files to write. Names that cannot be, and files that exist, are refused before the work begins.</summary>
    public IReadOnlyList<string> Files(ParseResult given, bool force)
    {
        ThePaper(given);
        IReadOnlyList<string> cards = given.GetValue(_card) ?? [];
        string? mask = given.GetValue(_mask), scale = given.GetValue(_scale);
        if (cards.FirstOrDefault(card => !IsPdf(card) && !IsHtml(card)) is { } odd)
            throw new InputException($"--card is '{odd}', which ends neither in .pdf nor in .html.", "--card", "Name the card's file, such as card.pdf.");
        foreach ((string option, string? file) in new[] { ("--mask", mask), ("--scale", scale) })
        {
            if (file is not null && !IsPdf(file))
                throw new InputException($"{option} is '{file}', which does not end in .pdf.", option, "Name a PDF file: only paper has a full size.");
        }
        string[] files = [.. cards, .. new[] { mask, scale }.OfType<string>()];
        foreach (string file in files)
            OutputFile.RefuseExisting(file, force);
        return files;
    }

    /// <summary>Writes them.</summary>
    public void Write(ParseResult given, PlanResult result, Terminal terminal)
    {
        Paper paper = ThePaper(given);
        foreach (string file in given.GetValue(_card) ?? [])
            WriteCard(file, FieldCard.Of(result.Plan!, result.Verdict), paper, terminal);
        if (given.GetValue(_mask) is { } mask)
            WriteFullSize(mask, "Mask", GroundGlassMask.Title, GroundGlassMask.Of(result.Plan!, result.Verdict, paper), terminal);
        if (given.GetValue(_scale) is { } scale)
            WriteFullSize(scale, "Scale", ScaleStrip.Title, ScaleStrip.Of(result.Plan!, paper), terminal);
    }

    private static void WriteCard(string file, FieldCard card, Paper paper, Terminal terminal)
    {
        IReadOnlyList<Sheet> sheets = IsPdf(file) ? CardSheets.Of(card, paper) : [];
        Save(file, IsPdf(file) ? PdfSheets.Write(card.Title, sheets) : CardHtml.Write(card, paper));
        terminal.Say(sheets.Count > 1 ? $"Card: {file}, on {sheets.Count} pages: it does not fit on one of {paper.Name} in legible type" : $"Card: {file}");
    }

    private static void WriteFullSize(string file, string what, string title, Sheet sheet, Terminal terminal)
    {
        Save(file, PdfSheets.Write(title, [sheet]));
        terminal.Say($"{what}: {file}, on {sheet.Paper.Name}: print at 100 %");
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
