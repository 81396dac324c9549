namespace Imbrex.Hosting.Batch;

/// <summary>The order in which a person lists names: ordinal, with runs of digits compared as numbers.</summary>
internal sealed class NaturalOrder : IComparer<string>
{
    public static NaturalOrder Instance { get; } = new();

    public int Compare(string? x, string? y)
    {
        ReadOnlySpan<char> a = x;
        ReadOnlySpan<char> b = y;
        while (a.Length > 0 && b.Length > 0)
        {
            int order = char.IsAsciiDigit(a[0]) && char.IsAsciiDigit(b[0]) ? CompareNumbers(ref a, ref b) : CompareCharacters(ref a, ref b);
            if (order != 0)
                return order;
        }
        return a.Length != b.Length ? a.Length.CompareTo(b.Length) : string.CompareOrdinal(x, y);
    }

    private static int CompareCharacters(ref ReadOnlySpan<char> a, ref ReadOnlySpan<char> b)
    {
        int order = a[0].CompareTo(b[0]);
        a = a[1..];
        b = b[1..];
        return order;
    }

    // Without leading zeros the longer number is the larger one, whatever its length.
    private static int CompareNumbers(ref ReadOnlySpan<char> a, ref ReadOnlySpan<char> b)
    {
        ReadOnlySpan<char> first = TakeDigits(ref a).TrimStart('0');
        ReadOnlySpan<char> second = TakeDigits(ref b).TrimStart('0');
        return first.Length != second.Length ? first.Length.CompareTo(second.Length) : first.SequenceCompareTo(second);
    }

    private static ReadOnlySpan<char> TakeDigits(ref ReadOnlySpan<char> text)
    {
        int end = text.IndexOfAnyExceptInRange('0', '9');
        ReadOnlySpan<char> digits = end < 0 ? text : text[..end];
        text = text[digits.Length..];
        return digits;
    }
}
