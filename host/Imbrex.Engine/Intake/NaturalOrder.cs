namespace Imbrex.Engine.Intake;

/// <summary>Orders file names as people count: ordinal, but runs of ASCII digits compare as numbers, so F9 comes before F10.</summary>
public sealed class NaturalOrder : IComparer<string>
{
    public static NaturalOrder Instance { get; } = new();

    public int Compare(string? x, string? y)
    {
        if (x is null || y is null)
            return string.CompareOrdinal(x, y);
        int i = 0, j = 0;
        while (i < x.Length && j < y.Length)
        {
            int order;
            if (char.IsAsciiDigit(x[i]) && char.IsAsciiDigit(y[j]))
            {
                ReadOnlySpan<char> a = Digits(x, ref i), b = Digits(y, ref j);
                order = a.Length != b.Length ? a.Length.CompareTo(b.Length) : a.SequenceCompareTo(b);
            }
            else
            {
                order = x[i++].CompareTo(y[j++]);
            }
            if (order != 0)
                return order;
        }
        int rest = (x.Length - i).CompareTo(y.Length - j);
        return rest != 0 ? rest : string.CompareOrdinal(x, y);
    }

    // The run of digits at a position, leading zeros left out.
    private static ReadOnlySpan<char> Digits(string text, ref int at)
    {
        int start = at;
        while (at < text.Length && char.IsAsciiDigit(text[at]))
            at++;
        return text.AsSpan(start, at - start).TrimStart('0');
    }
}
