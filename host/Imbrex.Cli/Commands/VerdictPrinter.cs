using Imbrex.Cli.Output;
using Imbrex.Engine.Planning;

namespace Imbrex.Cli.Commands;

/// <summary>A verdict for people: what the rules say, where they are broken, and what would do instead.</summary>
internal static class VerdictPrinter
{
    private const int MostFailures = 12;

    public static void Print(VerdictDocument verdict, Terminal terminal)
    {
        if (terminal.Json)
            return;
        terminal.Say(verdict.Summary);
        terminal.SayColumns([.. verdict.Rules.Select(rule => new[] { rule.Rule, rule.Outcome, rule.Text })]);
        foreach (FailurePart failure in verdict.Failures.Take(MostFailures))
            terminal.Say($"{failure.Rule}: {failure.Text}{Place(failure)}");
        if (verdict.Failures.Count > MostFailures)
            terminal.Say($"… and {verdict.Failures.Count - MostFailures} more; --json lists them all.");
        if (verdict.LargestFormat is { } largest)
            terminal.Say(FormattableString.Invariant($"These tiles would fill {largest.WidthMm:0.##} x {largest.HeightMm:0.##} mm."));
        foreach (RemedyPart remedy in verdict.Remedies)
            terminal.Say($"would do: {remedy.Text}");
        if (verdict.Handling is { } handling)
            terminal.Say(Handling(handling));
        OpticsPrinter.Print(verdict, terminal);
        foreach (WarningPart warning in verdict.Warnings ?? [])
            terminal.Say($"warning: {warning.Text}");
        foreach (string note in verdict.Notes)
            terminal.Say($"note: {note}");
        foreach (MissingPart missing in verdict.Missing ?? [])
            terminal.Say($"not known without {string.Join(" and ", missing.Fields)}: {missing.Text}.");
    }

    /// <summary>The failures and warnings for machines; people have read them on stdout.</summary>
    public static IReadOnlyList<Finding> Findings(VerdictDocument verdict, Terminal terminal) => !terminal.Json ? [] :
    [
        .. verdict.Failures.Select(failure => new Finding(failure.Rule, "error", failure.Text, failure.Tiles.Count == 1 ? failure.Tiles[0] : null)
        {
            Remedy = verdict.Remedies.Count > 0 ? verdict.Remedies[0].Text : null,
        }),
        .. (verdict.Warnings ?? []).Select(warning => new Finding(warning.Rule, "warning", warning.Text)),
    ];

    private static string Place(FailurePart failure)
    {
        if (failure.Region is not [{ Count: > 0 } ring, ..])
            return "";
        double left = ring.Min(p => p[0]), right = ring.Max(p => p[0]), top = ring.Min(p => p[1]), bottom = ring.Max(p => p[1]);
        return FormattableString.Invariant($" x {left:0.###} to {right:0.###} mm, y {top:0.###} to {bottom:0.###} mm.");
    }

    private static string Handling(HandlingPart handling) => FormattableString.Invariant(
        $"Handling: back turned over {Times(handling.BackTurns)}, camera turned {Times(handling.CameraTurns)}, {handling.TravelMm:0.#} mm of travel, {Count(handling.Overshoots, "overshoot")} ({(handling.Exact ? "the least possible" : "a good order, not proven the least")}).");

    private static string Count(int count, string thing) => count switch { 0 => $"no {thing}", 1 => $"one {thing}", _ => FormattableString.Invariant($"{count} {thing}s") };

    private static string Times(int count) => count switch { 0 => "never", 1 => "once", _ => $"{count} times" };
}
