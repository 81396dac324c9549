using System.Globalization;
using System.Text.RegularExpressions;
using Imbrex.Cli.Commands;
using Imbrex.Cli.Output;

namespace Imbrex.Cli.Bench;

/// <summary>Turns an exception into an error that the page can show at its line.</summary>
internal static partial class FaultPlace
{
    private const int LinesAround = 3;

    public static BenchFault Of(Exception exception, string script)
    {
        Finding finding = ErrorPrinter.Explain(exception).Finding;
        string? place = finding.Where?.Split('\n')[0];
        int line = place is not null && place.StartsWith(script, StringComparison.Ordinal) && LineNumber().Match(place) is { Success: true } match
            ? int.Parse(match.Groups[1].ValueSpan, CultureInfo.InvariantCulture)
            : 0;
        return new(finding.Message, finding.Remedy, place, line > 0 ? Around(script, line) : []);
    }

    private static IReadOnlyList<BenchLine> Around(string script, int line)
    {
        string[] lines;
        try
        {
            lines = File.ReadAllLines(script);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return [];
        }
        int first = Math.Max(1, line - LinesAround), last = Math.Min(lines.Length, line + LinesAround);
        return [.. Enumerable.Range(first, Math.Max(0, last - first + 1)).Select(number => new BenchLine(number, lines[number - 1].Replace('\t', ' '), number == line))];
    }

    [GeneratedRegex(@", line (\d+)")]
    private static partial Regex LineNumber();
}
