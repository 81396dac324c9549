using System.CommandLine;
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
        if (files.GroupBy(Path.GetFullPath, StringComparer.Ordinal).FirstOrDefault(same => same.Count() > 1) is { } twice)
            throw new InputException($"{twice.First()} is named twice.", twice.First(), "Give each its own file.");
        foreach (string file in files)
            OutputFile.RefuseExisting(file, force);
        return files;
    }

    /// <summary>Prints them, before anything is written: what fits on no paper is refused here.</summary>
    public IReadOnlyList<Printed> Print(ParseResult given, PlanResult result)
    {
        Paper paper = ThePaper(given);
        (PlanDocument plan, VerdictDocument verdict) = (result.Plan!, result.Verdict);
        return
        [
            .. (given.GetValue(_card) ?? []).Select(file => Card(file, FieldCard.Of(plan, verdict), paper)),
            .. given.GetValue(_mask) is { } mask ? [AtFullSize(mask, "Mask", GroundGlassMask.Title, GroundGlassMask.Of(plan, verdict, paper))] : Array.Empty<Printed>(),
            .. given.GetValue(_scale) is { } scale ? [AtFullSize(scale, "Scale", ScaleStrip.Title, ScaleStrip.Of(plan, verdict, paper))] : Array.Empty<Printed>(),
        ];
    }

    private static Printed Card(string file, FieldCard card, Paper paper)
    {
        if (IsHtml(file))
            return new(file, CardHtml.Write(card, paper), $"Card: {file}");
        IReadOnlyList<Sheet> sheets = CardSheets.Of(card, paper);
        string pages = sheets.Count > 1 ? $", on {sheets.Count} pages: it does not fit on one of {paper.Name} in legible type" : "";
        return new(file, PdfSheets.Write(card.Title, sheets), $"Card: {file}{pages}");
    }

    private static Printed AtFullSize(string file, string what, string title, Sheet sheet) =>
        new(file, PdfSheets.Write(title, [sheet]), $"{what}: {file}, on {sheet.Paper.Name}: print at 100 %");

    private Paper ThePaper(ParseResult given) => given.GetValue(_paper) is { } name ? Paper.Named(name) : Paper.A5;

    private static bool IsPdf(string file) => file.EndsWith(".pdf", StringComparison.OrdinalIgnoreCase);

    private static bool IsHtml(string file) => file.EndsWith(".html", StringComparison.OrdinalIgnoreCase);
}

/// <summary>A file that is ready to be written.</summary>
internal sealed record Printed(string File, byte[] Content, string Said)
{
    public void Save()
    {
        OutputFile.MakeFolder(Path.GetDirectoryName(Path.GetFullPath(File))!);
        OutputFile.Write(File, Content);
    }
}
