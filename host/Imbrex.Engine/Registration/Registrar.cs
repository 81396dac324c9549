namespace Imbrex.Engine.Registration;

/// <summary>What registration found.</summary>
/// <param name="Solution">Placements, tie weights and covariances.</param>
/// <param name="Ties">The measurements at full size, those of wrong pairs left out.</param>
/// <param name="Motion">How frames were allowed to move, and why.</param>
/// <param name="WrongPairs">Pairs that contradict the ways round over others; their measurements were dropped.</param>
internal sealed record RegistrationResult(PoseSolution Solution, IReadOnlyList<Tie> Ties, MotionChoice Motion, IReadOnlyList<WrongPair> WrongPairs);

/// <summary>Finds the true placements: the ways in which pairs fit at reduced size, chosen together, then measured at full size.</summary>
internal static class Registrar
{
    /// <summary>Most blocks measured at full size for each pair.</summary>
    private const int MostBlocks = 160;

    /// <summary>Most blocks of the first measurement, which only says where to look.</summary>
    private const int FirstBlocks = 24;

    /// <summary>Window of the search at full size, px; what the reduced size leaves is well inside.</summary>
    private const int FineRadius = 3;

    /// <summary>What is left must fall to this part for another explanation of contradictions to be believed.</summary>
    private const double LeastGain = 0.8;

    /// <summary>The coarsest pyramid level that a window needs.</summary>
    public static int CoarsestLevel(SearchWindow window) => PairSearch.FirstLevel(window) + 1;

    /// <summary>Finds the placements; frames can shift and turn, and nothing else.</summary>
    public static RegistrationResult Register(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids, SearchWindow window,
        int workers, IProgress<double> progress, CancellationToken cancellation) => Register(frames, pyramids, window, null, workers, progress, cancellation);

    /// <summary>Finds the placements.</summary>
    /// <param name="frames">The frames, oriented, with their nominal placements.</param>
    /// <param name="pyramids">Their pyramids down to <see cref="CoarsestLevel"/>.</param>
    /// <param name="window">How far tiles may lie from the plan.</param>
    /// <param name="axis">The lens axis on the canvas; null where frames can shift and turn only.</param>
    /// <param name="workers">Number of pairs measured at a time; has no influence on the result.</param>
    /// <param name="progress">Receives the done part, 0 to 1.</param>
    /// <param name="cancellation">Cancels the work.</param>
    public static RegistrationResult Register(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids, SearchWindow window, LensAxis? axis,
        int workers, IProgress<double> progress, CancellationToken cancellation)
    {
        const int Steps = 4;
        var prior = new PlacementPrior(window.Pixels, window.Radians);
        IReadOnlyList<Placement> nominal = [.. frames.Select(f => f.Nominal)];
        IReadOnlyList<SharedArea> pairs = SharedArea.Find(frames, nominal, least: 0, window.Reach);
        IReadOnlyList<IReadOnlyList<PairCandidate>> ways = ForEach(pairs, workers, (pair, bench) => PairSearch.Find(frames, pyramids, nominal, pair.A, pair.B, window, bench), cancellation);
        IReadOnlyList<Placement> placements = CandidateChoice.Choose(frames, ways, prior).Placements;
        progress.Report(1.0 / Steps);

        // The pieces of what pairs share, below the reduced pixel.
        const int Finest = GrayPyramid.FinestLevel;
        const double Near = 4 << Finest;
        IReadOnlyList<Tie> coarse = [.. ForEach(SharedArea.Find(frames, placements, least: 4 << Finest, reach: 0), workers, (pair, bench) =>
            PairPicture.Of(frames, placements, pair.A, pair.B, pyramids[pair.A][Finest], pyramids[pair.B][Finest], Finest, Near, bench) is { } picture
                ? PairSearch.Ties(picture, placements, pair.A, pair.B) : [], cancellation).SelectMany(ties => ties)];
        placements = PoseSolver.Solve(frames, placements, coarse, prior).Placements;
        progress.Report(2.0 / Steps);

        // Twice at full size: the second time every block is compared under the rotation that the first time found, and nothing is searched.
        IReadOnlyList<Tie> first = Measure(FirstBlocks, FineRadius);
        placements = MotionChoice.Make(frames, placements, first, prior, axis, mayBend: false).Solution.Placements;
        progress.Report(3.0 / Steps);
        RegistrationResult result = Judge(frames, placements, Measure(MostBlocks, radius: 0), prior, axis);
        progress.Report(1);
        return result;

        IReadOnlyList<Tie> Measure(int blocks, int radius)
        {
            IReadOnlyList<SharedArea> areas = SharedArea.Find(frames, placements, least: FineSearch.LeastSide);
            IReadOnlyList<Placement> now = placements;
            return [.. ForEach(areas, workers, (area, bench) => FineSearch.Find(area, frames, pyramids, now, blocks, radius, bench), cancellation).SelectMany(ties => ties)];
        }
    }

    /// <summary>Chooses how frames move, drops pairs that contradict the others, and solves for the placements.</summary>
    public static RegistrationResult Judge(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> start, IReadOnlyList<Tie> ties, PlacementPrior prior, LensAxis? axis)
    {
        // A contradiction may be a pair's fault, or that of a tilt that all frames share; the explanation that leaves less is believed. A frame's own
        // shape could hide a wrong pair's fault, and is tried last.
        RegistrationResult rigid = Drop(MotionChoice.Make(frames, start, ties, prior, axis: null, mayBend: false)), shared = rigid;
        if (axis is not null)
            shared = Drop(MotionChoice.Make(frames, start, ties, prior, axis, mayBend: false));
        RegistrationResult better = shared.Motion.Loss(shared.Ties) < LeastGain * rigid.Motion.Loss(rigid.Ties) ? shared : rigid;
        MotionChoice motion = MotionChoice.Make(frames, start, better.Ties, prior, axis, mayBend: true);
        return better with { Motion = motion, Solution = motion.Solution };

        RegistrationResult Drop(MotionChoice choice)
        {
            IReadOnlyList<WrongPair> wrong = LoopTest.Find(ties, choice.Solution.Placements, prior, choice.Model.Radius);
            if (wrong.Count == 0)
                return new(choice.Solution, ties, choice, wrong);
            IReadOnlyList<Tie> right = [.. ties.Where(tie => !wrong.Any(pair => pair.A == tie.A && pair.B == tie.B))];
            choice = MotionChoice.Make(frames, start, right, prior, axis, mayBend: false);
            return new(choice.Solution, right, choice, wrong);
        }
    }

    // Each pair writes into a slot of its own, so that the order of the results is that of the pairs.
    private static T[] ForEach<T>(IReadOnlyList<SharedArea> pairs, int workers, Func<SharedArea, MatchBench, T> measure, CancellationToken cancellation)
    {
        var found = new T[pairs.Count];
        WorkerCrew.Run(workers, pairs.Count, () => new MatchBench(), (bench, i) => found[i] = measure(pairs[i], bench), cancellation);
        return found;
    }
}
