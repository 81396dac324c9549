namespace Imbrex.Engine.Registration;

/// <summary>Groups of frames that the picture joins.</summary>
internal static class Islands
{
    /// <summary>A tie with less weight than this counts as rejected.</summary>
    public const double LeastWeight = 0.05;

    /// <summary>The groups, each in rising order, the one with the first frame first; a frame that nothing ties is a group of its own.</summary>
    public static IReadOnlyList<IReadOnlyList<int>> Find(int frames, IReadOnlyList<Tie> ties, IReadOnlyList<double> weights)
    {
        int[] group = [.. Enumerable.Range(0, frames)];
        for (int i = 0; i < ties.Count; i++)
        {
            if (weights[i] < LeastWeight)
                continue;
            (int kept, int given) = (Math.Min(group[ties[i].A], group[ties[i].B]), Math.Max(group[ties[i].A], group[ties[i].B]));
            for (int k = 0; kept != given && k < frames; k++)
            {
                if (group[k] == given)
                    group[k] = kept;
            }
        }
        return [.. Enumerable.Range(0, frames).GroupBy(i => group[i]).OrderBy(g => g.Key).Select(g => (IReadOnlyList<int>)[.. g])];
    }
}
