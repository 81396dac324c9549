namespace Imbrex.Engine.Planning;

/// <summary>How one rule came out, with what fails, what should be known, and what would do instead.</summary>
internal sealed record Judgement(RulePart Rule)
{
    public IReadOnlyList<FailurePart> Failures { get; init; } = [];
    public IReadOnlyList<WarningPart> Warnings { get; init; } = [];
    public IReadOnlyList<RemedyPart> Remedies { get; init; } = [];

    public static Judgement Skipped(string rule, string text) => new(new RulePart { Rule = rule, Outcome = RulePart.Skipped, Text = text });

    public static Judgement Of(string rule, string passed, IReadOnlyList<FailurePart> failures) => new(new RulePart
    {
        Rule = rule,
        Outcome = failures.Count == 0 ? RulePart.Passed : RulePart.Failed,
        Text = failures.Count == 0 ? passed : failures[0].Text,
    })
    {
        Failures = failures,
    };
}
