namespace Imbrex.Cli.Commands;

/// <summary>What a verb did. With <c>--json</c> it is the one object on stdout; otherwise its findings go to stderr.</summary>
/// <param name="ExitCode">One of <see cref="ExitCodes"/>.</param>
internal sealed record VerbResult(int ExitCode = ExitCodes.Done)
{
    /// <summary>One word for machines; null takes the one that goes with the exit code.</summary>
    public string? Verdict { get; init; }

    public IReadOnlyList<Finding> Findings { get; init; } = [];

    /// <summary>Files written, as the user would name them.</summary>
    public IReadOnlyList<string> Files { get; init; } = [];

    /// <summary>What is special to this verb, for machines only.</summary>
    public object? Data { get; init; }
}

/// <summary>Something the user should know.</summary>
/// <param name="Code">A fixed kebab-case word, such as <c>plugin-left-out</c>.</param>
/// <param name="Severity"><c>error</c>, <c>warning</c> or <c>note</c>.</param>
/// <param name="Message">One or two sentences.</param>
/// <param name="Tile">The tile concerned, or null.</param>
internal sealed record Finding(string Code, string Severity, string Message, string? Tile = null)
{
    public string? Where { get; init; }
    public string? Remedy { get; init; }
}
