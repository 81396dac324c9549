namespace Imbrex.Cli;

/// <summary>What the program's exit code says.</summary>
internal static class ExitCodes
{
    public const int Done = 0;

    /// <summary>Usage, unreadable input, output not writable.</summary>
    public const int BadInput = 1;

    /// <summary>Well-formed, but refused by a rule.</summary>
    public const int Refused = 2;

    /// <summary>Output was written; something named was left out.</summary>
    public const int Incomplete = 3;

    public const int InternalError = 70;
    public const int Cancelled = 130;

    /// <summary>The word for machines that goes with a code.</summary>
    public static string Verdict(int code) => code switch
    {
        Done => "done",
        BadInput => "bad-input",
        Refused => "refused",
        Incomplete => "incomplete",
        Cancelled => "cancelled",
        _ => "failed",
    };
}
