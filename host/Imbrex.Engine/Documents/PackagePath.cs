using System.Text.RegularExpressions;

namespace Imbrex.Engine.Documents;

/// <summary>Which paths a file in a package may have: those that mean the same file, inside the package's own folder, on every system.</summary>
public static partial class PackagePath
{
    /// <summary>Folders above a file, and the file itself.</summary>
    public const int DeepestPath = 8;

    private const int LongestPath = 180;

    /// <summary>What is wrong with a path, as the rest of a sentence that begins with the path; null where nothing is.</summary>
    public static string? Fault(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        if (path.Length is 0 or > LongestPath)
            return $"has {path.Length} characters, and a path may have 1 to {LongestPath}";
        if (path.StartsWith('/'))
            return "is an absolute name";
        if (path.StartsWith("\\\\", StringComparison.Ordinal))
            return "is the name of a network share";
        if (path.Contains('\\'))
            return "holds a backslash, which is a folder on some systems only";
        if (path.Contains(':'))
            return path.IndexOf(':') == 1 ? "begins with a drive letter" : "names an alternate stream";
        string[] steps = path.Split('/');
        if (steps.Length > DeepestPath)
            return $"lies more than {DeepestPath - 1} folders deep";
        return steps.Select(StepFault).FirstOrDefault(fault => fault is not null);
    }

    /// <summary>Whether a name means a device on Windows, whatever follows the dot.</summary>
    internal static bool IsReserved(string step) => Reserved().IsMatch(step);

    private static string? StepFault(string step)
    {
        if (step is "." or "..")
            return "climbs out of its folder";
        if (step.Length == 0)
            return "has a folder without a name";
        if (!Portable().IsMatch(step))
            return "holds a character other than a-z, A-Z, 0-9, '.', '-' and '_', which is spelt or sorted differently elsewhere";
        if (step.EndsWith('.'))
            return "ends with a dot, which some systems drop";
        return IsReserved(step) ? "is the name of a device on Windows" : null;
    }

    [GeneratedRegex(@"^[A-Za-z0-9._-]+\z")]
    private static partial Regex Portable();

    [GeneratedRegex(@"^(con|prn|aux|nul|com[0-9]|lpt[0-9]|clock\$|conin\$|conout\$)(\.|\z)", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant)]
    private static partial Regex Reserved();
}
