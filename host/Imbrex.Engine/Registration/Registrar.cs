namespace Imbrex.Engine.Registration;

/// <summary>How far tiles may lie from the plan.</summary>
/// <param name="Pixels">Position, px.</param>
/// <param name="Radians">Angle.</param>
/// <param name="Radius">Half diagonal of a frame, px: an angle moves a corner by this much times the angle.</param>
internal readonly record struct SearchWindow(double Pixels, double Radians, double Radius)
{
    /// <summary>How far a shared spot may be from where it is expected: both tiles may err in opposite directions, and one be turned.</summary>
    public double Reach => 2 * Pixels + Radians * Radius;
}

/// <summary>What registration found.</summary>
/// <param name="Solution">Placements, tie weights and covariances.</param>
/// <param name="Ties">The measurements at full size.</param>
internal sealed record RegistrationResult(PoseSolution Solution, IReadOnlyList<Tie> Ties);

/// <summary>Finds the true placements: coarse to fine, each level's ties solved together before the next.</summary>
internal static class Registrar
{
    /// <summary>Widest window of the direct search, in reduced pixels; wider tolerances begin at a coarser level.</summary>
    private const int WidestRadius = 12;

    /// <summary>Most blocks measured at full size for each pair.</summary>
    private const int MostBlocks = 48;

    /// <summary>Window of the search at full size, px; what the coarse levels leave is well inside.</summary>
    private const int FineRadius = 3;

    /// <summary>The coarsest pyramid level that a window needs.</summary>
    public static int CoarsestLevel(SearchWindow window)
    {
        int level = GrayPyramid.FinestLevel;
        while (window.Reach / (1 << level) > WidestRadius && level < 8)
            level++;
        return level;
    }

    /// <summary>The search radius of the coarsest level in that level's pixels.</summary>
    public static int CoarsestRadius(SearchWindow window) => (int)Math.Ceiling(window.Reach / (1 << CoarsestLevel(window))) + 2;

    /// <summary>Finds the placements.</summary>
    /// <param name="frames">The frames, oriented, with their nominal placements.</param>
    /// <param name="pyramids">Their pyramids down to <see cref="CoarsestLevel"/>.</param>
    /// <param name="window">How far tiles may lie from the plan.</param>
    /// <param name="workers">Number of pairs measured at a time; has no influence on the result.</param>
    /// <param name="progress">Receives the done part, 0 to 1.</param>
    /// <param name="cancellation">Cancels the work.</param>
    public static RegistrationResult Register(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<GrayPyramid> pyramids, SearchWindow window,
        int workers, IProgress<double> progress, CancellationToken cancellation)
    {
        var prior = new PlacementPrior(window.Pixels, window.Radians);
        IReadOnlyList<Placement> placements = [.. frames.Select(f => f.Nominal)];
        int coarsest = CoarsestLevel(window), radius = CoarsestRadius(window);
        int steps = coarsest - GrayPyramid.FinestLevel + 1 + 2, done = 0;
        for (int level = coarsest; level >= GrayPyramid.FinestLevel; level--)
        {
            int blockSide = level == coarsest ? 96 : 48, searched = level == coarsest ? radius : 3, at = level;
            IReadOnlyList<Tie> coarse = ForEachPair(frames, placements, least: 8 << level, workers, (area, now, found) =>
                CoarseSearch.Find(area, frames, pyramids, now, at, blockSide, searched, found), cancellation);
            placements = PoseSolver.Solve(frames, placements, coarse, prior).Placements;
            progress.Report(++done / (double)steps);
        }

        // Twice at full size: the second time every block is compared under the rotation that the first time found.
        RegistrationResult result = new(PoseSolver.Solve(frames, placements, [], prior), []);
        for (int round = 0; round < 2; round++)
        {
            int blocks = round == 0 ? MostBlocks / 4 : MostBlocks;
            IReadOnlyList<Tie> ties = ForEachPair(frames, placements, least: FineSearch.LeastSide, workers, (area, now, found) =>
                found.AddRange(FineSearch.Find(area, frames, pyramids, now, blocks, FineRadius)), cancellation);
            result = new(PoseSolver.Solve(frames, placements, ties, prior), ties);
            placements = result.Solution.Placements;
            progress.Report(++done / (double)steps);
        }
        return result;
    }

    private static List<Tie> ForEachPair(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, double least, int workers,
        Action<SharedArea, IReadOnlyList<Placement>, List<Tie>> measure, CancellationToken cancellation)
    {
        IReadOnlyList<SharedArea> areas = SharedArea.Find(frames, placements, least);
        var found = new List<Tie>[areas.Count];
        var options = new ParallelOptions { MaxDegreeOfParallelism = workers, CancellationToken = cancellation };
        Parallel.For(0, areas.Count, options, i => measure(areas[i], placements, found[i] = []));
        return [.. found.SelectMany(ties => ties)];
    }
}
