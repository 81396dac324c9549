namespace Imbrex.Engine.Registration;

/// <summary>What registration found.</summary>
/// <param name="Solution">Placements, tie weights and covariances.</param>
/// <param name="Ties">The measurements at full size.</param>
internal sealed record RegistrationResult(PoseSolution Solution, IReadOnlyList<Tie> Ties);

/// <summary>Finds the true placements: the ways in which pairs fit at reduced size, chosen together, then measured at full size.</summary>
internal static class Registrar
{
    /// <summary>Most blocks measured at full size for each pair.</summary>
    private const int MostBlocks = 48;

    /// <summary>Window of the search at full size, px; what the reduced size leaves is well inside.</summary>
    private const int FineRadius = 3;

    /// <summary>The coarsest pyramid level that a window needs.</summary>
    public static int CoarsestLevel(SearchWindow window) => PairSearch.FirstLevel(window) + 1;

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
        const int Steps = 4;
        var prior = new PlacementPrior(window.Pixels, window.Radians);
        IReadOnlyList<Placement> nominal = [.. frames.Select(f => f.Nominal)];
        IReadOnlyList<SharedArea> pairs = SharedArea.Find(frames, nominal, least: 0, window.Reach);
        IReadOnlyList<IReadOnlyList<PairCandidate>> ways = ForEach(pairs, workers, pair => PairSearch.Find(frames, pyramids, nominal, pair.A, pair.B, window), cancellation);
        IReadOnlyList<Placement> placements = CandidateChoice.Choose(frames, ways, prior).Placements;
        progress.Report(1.0 / Steps);

        // The pieces of what pairs share, below the reduced pixel.
        const int Finest = GrayPyramid.FinestLevel;
        const double Near = 4 << Finest;
        IReadOnlyList<Tie> coarse = [.. ForEach(SharedArea.Find(frames, placements, least: 4 << Finest, reach: 0), workers, pair =>
            PairPicture.Of(frames, placements, pair.A, pair.B, pyramids[pair.A][Finest], pyramids[pair.B][Finest], Finest, Near) is { } picture
                ? PairSearch.Ties(picture, placements, pair.A, pair.B) : [], cancellation).SelectMany(ties => ties)];
        placements = PoseSolver.Solve(frames, placements, coarse, prior).Placements;
        progress.Report(2.0 / Steps);

        // Twice at full size: the second time every block is compared under the rotation that the first time found.
        RegistrationResult result = new(PoseSolver.Solve(frames, placements, [], prior), []);
        for (int round = 0; round < 2; round++)
        {
            int blocks = round == 0 ? MostBlocks / 4 : MostBlocks;
            IReadOnlyList<SharedArea> areas = SharedArea.Find(frames, placements, least: FineSearch.LeastSide, reach: 0);
            IReadOnlyList<Placement> now = placements;
            IReadOnlyList<Tie> ties = [.. ForEach(areas, workers, area => FineSearch.Find(area, frames, pyramids, now, blocks, FineRadius), cancellation).SelectMany(t => t)];
            result = new(PoseSolver.Solve(frames, placements, ties, prior), ties);
            placements = result.Solution.Placements;
            progress.Report((3.0 + round) / Steps);
        }
        return result;
    }

    // Each pair writes into a slot of its own, so that the order of the results is that of the pairs.
    private static T[] ForEach<T>(IReadOnlyList<SharedArea> pairs, int workers, Func<SharedArea, T> measure, CancellationToken cancellation)
    {
        var found = new T[pairs.Count];
        WorkerCrew.Run(workers, pairs.Count, () => 0, (_, i) => found[i] = measure(pairs[i]), cancellation);
        return found;
    }
}
