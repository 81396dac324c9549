namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>How far down each column is covered, and how it came to that.</summary>
internal sealed class Skyline(double[] heights, Skyline? before, Placing placed)
{
    public static IEqualityComparer<Skyline> SameHeights { get; } = new HeightsComparer();

    public double[] Heights => heights;

    public Skyline? Before => before;

    public Placing Placed => placed;

    /// <summary>Where the middle of the tile placed last lies down.</summary>
    public double Row { get; private init; }

    /// <summary>Area covered, mm2.</summary>
    public double Covered { get; private init; }

    /// <summary>The column that is covered least far down; of several, the leftmost.</summary>
    public int Highest()
    {
        int highest = 0;
        for (int i = 1; i < heights.Length; i++)
        {
            if (heights[i] < heights[highest])
                highest = i;
        }
        return highest;
    }

    /// <summary>The skyline with one tile more.</summary>
    public Skyline With(Placing placing, double middle, double bottom, double[] widths)
    {
        double[] grown = [.. heights];
        double gained = 0;
        for (int i = placing.From; i < placing.To; i++)
        {
            if (grown[i] >= bottom)
                continue;
            gained += (bottom - grown[i]) * widths[i];
            grown[i] = bottom;
        }
        return new(grown, this, placing) { Row = middle, Covered = Covered + gained };
    }

    /// <summary>Whether every column is covered at least as far down as another's.</summary>
    public bool IsNowhereAbove(Skyline other)
    {
        for (int i = 0; i < heights.Length; i++)
        {
            if (heights[i] < other.Heights[i])
                return false;
        }
        return true;
    }

    private sealed class HeightsComparer : IEqualityComparer<Skyline>
    {
        public bool Equals(Skyline? x, Skyline? y) => x!.Heights.AsSpan().SequenceEqual(y!.Heights);

        public int GetHashCode(Skyline skyline)
        {
            var hash = new HashCode();
            foreach (double height in skyline.Heights)
                hash.Add(height);
            return hash.ToHashCode();
        }
    }
}
