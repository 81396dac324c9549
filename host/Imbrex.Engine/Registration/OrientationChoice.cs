namespace Imbrex.Engine.Registration;

/// <summary>
/// Decides which frames were turned over by a lying file: each frame's rule orientation and its half-turn alternative are tried on the
/// overlaps at reduced size, and the set that agrees best is taken, if it agrees clearly better.
/// </summary>
internal static class OrientationChoice
{
    /// <summary>Evidence from which on a pair counts in full.</summary>
    private const double FullEvidence = 100;

    /// <summary>By how much the sum over the pairs, each 0 to 1, must rise for each frame turned over.</summary>
    private const double LeastGain = 0.2;

    /// <summary>Names the frames to turn over.</summary>
    /// <param name="frames">All frames in their rule orientation.</param>
    /// <param name="pyramids">Their pyramids.</param>
    /// <param name="window">How far tiles may lie from the plan.</param>
    /// <param name="settled">Frames whose orientation the user imposed.</param>
    /// <param name="cancellation">Cancels the search.</param>
    public static bool[] Find(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids, SearchWindow window,
        IReadOnlyList<bool> settled, CancellationToken cancellation)
    {
        Placement[] placements = [.. frames.Select(f => f.Nominal)];
        int level = Registrar.CoarsestLevel(window);
        IGreyPicture[][] views = [.. pyramids.Select(p => new[] { p[level], new TurnedOverPicture(p[level]) })];
        var edges = new List<Edge>();
        var bench = new MatchBench();
        foreach (SharedArea area in SharedArea.Find(frames, placements, least: 0, window.Reach))
        {
            cancellation.ThrowIfCancellationRequested();
            edges.Add(Edge.Measure(area, frames, placements, views, level, window, settled, bench));
        }
        bool[] none = new bool[frames.Count];
        bool[] best = none;
        foreach (bool[] candidate in new[] { Grown(edges, frames.Count, settled), new bool[frames.Count] })
        {
            Improve(candidate, edges, settled);
            double gain = Total(edges, candidate) - Total(edges, none), enough = LeastGain * candidate.Count(turned => turned);
            if (gain > enough && Total(edges, candidate) > Total(edges, best))
                best = candidate;
        }
        return best;
    }

    private static double Total(List<Edge> edges, bool[] turned) => edges.Sum(edge => edge.Score(turned[edge.A], turned[edge.B]));

    // Grows a set from the pair that agrees best, always by the frame that agrees best with those already in.
    private static bool[] Grown(List<Edge> edges, int count, IReadOnlyList<bool> settled)
    {
        var turned = new bool[count];
        bool[] known = [.. settled];
        while (true)
        {
            (double Score, int Frame, bool Turned, Edge? Seed, bool SeedTurned) best = (0.3, -1, false, null, false);
            foreach (Edge edge in edges)
            {
                if (known[edge.A] && known[edge.B])
                    continue;
                foreach ((bool a, bool b) in new[] { (false, false), (true, true), (true, false), (false, true) })
                {
                    double score = edge.Score(a, b);
                    if ((known[edge.A] && a != turned[edge.A]) || (known[edge.B] && b != turned[edge.B]) || score <= best.Score)
                        continue;
                    if (known[edge.A] || known[edge.B])
                        best = known[edge.A] ? (score, edge.B, b, null, false) : (score, edge.A, a, null, false);
                    else if (!HasGrown(known, settled))
                        best = (score, edge.A, a, edge, b);
                }
            }
            if (best.Frame < 0)
                return turned;
            (turned[best.Frame], known[best.Frame]) = (best.Turned, true);
            if (best.Seed is { } seed)
                (turned[seed.B], known[seed.B]) = (best.SeedTurned, true);
        }
    }

    private static bool HasGrown(bool[] known, IReadOnlyList<bool> settled)
    {
        for (int i = 0; i < known.Length; i++)
        {
            if (known[i] && !settled[i])
                return true;
        }
        return false;
    }

    private static void Improve(bool[] turned, List<Edge> edges, IReadOnlyList<bool> settled)
    {
        for (bool changed = true; changed;)
        {
            changed = false;
            for (int i = 0; i < turned.Length; i++)
            {
                if (settled[i])
                    continue;
                double before = Total(edges, turned);
                turned[i] = !turned[i];
                if (Total(edges, turned) > before + LeastGain)
                    changed = true;
                else
                    turned[i] = !turned[i];
            }
        }
    }

    /// <summary>How well two frames agree in the four combinations.</summary>
    private sealed record Edge(int A, int B, double[] Scores)
    {
        public double Score(bool turnedA, bool turnedB) => Scores[(turnedA ? 1 : 0) + (turnedB ? 2 : 0)];

        public static Edge Measure(SharedArea area, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements,
            IGreyPicture[][] views, int level, SearchWindow window, IReadOnlyList<bool> settled, MatchBench bench)
        {
            var scores = new double[4];
            for (int i = 0; i < 4; i++)
            {
                bool turnedA = (i & 1) != 0, turnedB = (i & 2) != 0;
                if ((turnedA && settled[area.A]) || (turnedB && settled[area.B]))
                    continue;
                if (PairPicture.Of(frames, placements, area.A, area.B, views[area.A][i & 1], views[area.B][i >> 1], level, window.Reach, bench) is { } picture)
                    scores[i] = Math.Min(1, PairSearch.BestEvidence(picture, window, bench) / FullEvidence);
            }
            return new(area.A, area.B, scores);
        }
    }
}
