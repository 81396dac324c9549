namespace Imbrex.Sdk.Parameters;

/// <summary>Finds the known word that a mistyped one probably meant.</summary>
public static class NearestWord
{
    /// <summary>A sentence that suggests the nearest known word, or null where none is near.</summary>
    /// <param name="word">What the user wrote.</param>
    /// <param name="known">The words that would be understood.</param>
    public static string? Suggest(string word, IEnumerable<string> known) => Find(word, known) is { } near ? $"Did you mean '{near}'?" : null;

    /// <summary>The known word nearest by edit distance, within a third of the word's length (at least two edits), or null.</summary>
    /// <param name="word">What the user wrote.</param>
    /// <param name="known">The words that would be understood.</param>
    public static string? Find(string word, IEnumerable<string> known)
    {
        ArgumentNullException.ThrowIfNull(word);
        ArgumentNullException.ThrowIfNull(known);
        return known
            .Select(candidate => (candidate, distance: Distance(word.ToUpperInvariant(), candidate.ToUpperInvariant())))
            .Where(pair => pair.distance <= Math.Max(2, word.Length / 3))
            .OrderBy(pair => pair.distance)
            .ThenBy(pair => pair.candidate, StringComparer.Ordinal)
            .Select(pair => pair.candidate)
            .FirstOrDefault();
    }

    // Levenshtein 1966, one row at a time (Wagner and Fischer 1974); from memory.
    private static int Distance(string a, string b)
    {
        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int above = row[j];
                int substitution = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
                row[j] = Math.Min(Math.Min(above, row[j - 1]) + 1, substitution);
                diagonal = above;
            }
        }
        return row[b.Length];
    }
}
