using System.Text;

namespace Imbrex.Cli.Output;

/// <summary>
/// Rows of plain text in columns, for what a short verb prints. A table of the console library's looks better and takes longer to set up than such a verb has worked.
/// </summary>
internal static class Columns
{
    private const int Indent = 2;
    private const int Gap = 3;

    // Where less is left, the last column runs on and the terminal breaks it.
    private const int Narrowest = 30;

    /// <summary>Lays rows out. Each column is as wide as its longest cell; the last is broken at spaces to what is left of the width.</summary>
    /// <param name="rows">Rows of equally many cells.</param>
    /// <param name="width">Letters that fit into a line.</param>
    public static string Lay(IReadOnlyList<string[]> rows, int width)
    {
        int last = rows[0].Length - 1;
        int[] widths = new int[last];
        int before = Indent;
        for (int column = 0; column < last; column++)
        {
            foreach (string[] row in rows)
                widths[column] = Math.Max(widths[column], row[column].Length);
            before += widths[column] + Gap;
        }
        int left = width - before >= Narrowest ? width - before : int.MaxValue;
        var text = new StringBuilder();
        foreach (string[] row in rows)
        {
            text.Append(' ', Indent);
            for (int column = 0; column < last; column++)
                text.Append(row[column].PadRight(widths[column] + Gap));
            text.Append(string.Join("\n" + new string(' ', before), Broken(row[last], left))).Append('\n');
        }
        return text.ToString();
    }

    private static IEnumerable<string> Broken(string text, int width)
    {
        while (text.Length > width)
        {
            int space = text.LastIndexOf(' ', width);
            int end = space > 0 ? space : width;
            yield return text[..end];
            text = text[end..].TrimStart();
        }
        yield return text;
    }
}
