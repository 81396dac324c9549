using MathNet.Numerics.Distributions;

namespace Imbrex.Engine.Registration;

/// <summary>One model that was tried.</summary>
/// <param name="Terms">What it adds.</param>
/// <param name="Parameters">How many unknowns that are.</param>
/// <param name="FStatistic">How much more of the residuals it explains than as many unknowns would by chance.</param>
/// <param name="Probability">How likely chance alone would reach that.</param>
/// <param name="Effect">Root mean square of what it takes off the residuals, px.</param>
/// <param name="Used">Whether it was used.</param>
internal sealed record MotionTrial(MotionTerms Terms, int Parameters, double FStatistic, double Probability, double Effect, bool Used);

/// <summary>The model in use, its solution, and what was tried on the way.</summary>
internal sealed record MotionChoice(MotionModel Model, PoseSolution Solution, IReadOnlyList<MotionTrial> Trials)
{
    /// <summary>Least that a model must take off the residuals, px, however surely.</summary>
    private const double LeastEffect = 0.005;

    /// <summary>Most that one tie counts for where models are compared that are not part of one another, squared deviations.</summary>
    private const double MostLoss = 1e4;

    /// <summary>The most that chance may be to blame.</summary>
    private const double MostProbability = 1e-6;

    /// <summary>
    /// Starts from shift and rotation, and adds what the residuals justify: what all frames share first, each frame's own size and shape last.
    /// </summary>
    /// <param name="frames">The frames.</param>
    /// <param name="start">Where to start from.</param>
    /// <param name="ties">The measurements.</param>
    /// <param name="prior">How far the plan may be trusted.</param>
    /// <param name="axis">The lens axis; null where frames can only shift and turn.</param>
    /// <param name="mayBend">Whether each frame may have a size and a shape of its own.</param>
    public static MotionChoice Make(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> start, IReadOnlyList<Tie> ties, PlacementPrior prior, LensAxis? axis, bool mayBend)
    {
        var model = new MotionModel(frames, axis ?? default, MotionTerms.Rigid);
        var trials = new List<MotionTrial>();
        if (axis is null)
            return new(model, PoseSolver.Solve(model, model.Start(start), ties, prior), trials);
        PoseSolution solution = PoseSolver.Solve(model, model.Start(start), ties, prior, rejects: false);
        List<MotionTerms> shared = [MotionTerms.SensorTilt];
        if (frames.Any(f => f.Body.BackTurned != frames[0].Body.BackTurned))
            shared.Add(MotionTerms.Seat);
        // A tilted sensor and a tilted seat look much alike: that which explains more is taken first, and the other only if it explains the rest.
        while (shared.Count > 0)
        {
            List<(Trial Trial, MotionModel Model, PoseSolution Solution)> tried = [.. shared.Select(Try)];
            (Trial best, MotionModel larger, PoseSolution other) = tried.MinBy(t => t.Trial.Criterion);
            if (!best.Result.Used)
            {
                trials.AddRange(tried.Select(t => t.Trial.Result));
                break;
            }
            (model, solution) = (larger, other);
            trials.Add(best.Result);
            shared.Remove(best.Result.Terms);
        }
        foreach (MotionTerms term in mayBend ? new[] { MotionTerms.Scale, MotionTerms.Projective } : [])
        {
            (Trial trial, MotionModel larger, PoseSolution other) = Try(term);
            trials.Add(trial.Result);
            if (trial.Result.Used)
                (model, solution) = (larger, other);
        }
        return new(model, PoseSolver.Solve(model, solution.Unknowns, ties, prior), trials);

        (Trial, MotionModel, PoseSolution) Try(MotionTerms term)
        {
            var larger = new MotionModel(frames, axis.Value, model.Terms | term);
            PoseSolution other = PoseSolver.Solve(larger, Carry(model, solution.Unknowns, larger), ties, prior, rejects: false);
            return (Compare(model, larger, other, ties, prior, term), larger, other);
        }
    }

    /// <summary>Mean square of what is left, in deviations, no tie counting for more than a hundred.</summary>
    public double Loss(IReadOnlyList<Tie> ties) => ties.Count == 0 ? 0 : Left(ties, Solution.Placements, null).Weighted / ties.Count;

    // Both models under the larger one's weights: what only the smaller one would reject still counts against it.
    private static Trial Compare(MotionModel model, MotionModel larger, PoseSolution other, IReadOnlyList<Tie> ties, PlacementPrior prior, MotionTerms term)
    {
        double[] small = PoseSolver.SolveWeighted(model, Carry(larger, other.Unknowns, model), ties, other.Weights, prior);
        double[] large = PoseSolver.SolveWeighted(larger, other.Unknowns, ties, other.Weights, prior);
        (double left, double leftPx, double count) = Left(ties, PoseSolver.Place(model, small), other.Weights);
        (double better, double betterPx, _) = Left(ties, PoseSolver.Place(larger, large), other.Weights);
        int tied = ties.SelectMany(tie => new[] { tie.A, tie.B }).Distinct().Count();
        // The size of one frame is what the others' are measured against.
        int added = larger.Shared - model.Shared + (larger.Own - model.Own) * Math.Max(tied - 1, 0);
        double free = 2 * count - larger.Own * (tied - 1) - larger.Shared;
        if (added < 1 || free < 1 || better <= 0)
            return new(new(term, added, 0, 1, 0, false), double.PositiveInfinity);
        double statistic = Math.Max(0, (left - better) / added / (better / free)), probability = 1 - FisherSnedecor.CDF(added, free, statistic);
        double effect = Math.Sqrt(Math.Max(0, leftPx - betterPx));
        // Schwarz's criterion, for choosing between models that are not part of one another.
        double criterion = 2 * ties.Count * Math.Log(Left(ties, other.Placements, null).Weighted) + added * Math.Log(2 * ties.Count);
        return new(new(term, added, statistic, probability, effect, probability < MostProbability && effect > LeastEffect), criterion);
    }

    // What is left, by the weights given; without weights by a bounded loss, so that no wrong tie counts for much.
    private readonly record struct Trial(MotionTrial Result, double Criterion);

    private static (double Weighted, double Pixels, double Count) Left(IReadOnlyList<Tie> ties, IReadOnlyList<Placement> placements, IReadOnlyList<double>? weights)
    {
        double sum = 0, pixels = 0, information = 0, count = 0;
        for (int i = 0; i < ties.Count; i++)
        {
            (double x, double y) = ties[i].Disagreement(placements);
            double weight = weights?[i] ?? 1, square = ties[i].Information.SquaredDistance(x, y);
            double strength = weight * (ties[i].Information.Xx + ties[i].Information.Yy);
            sum += weights is null ? Math.Min(square, MostLoss) : weight * square;
            (pixels, information, count) = (pixels + strength * (x * x + y * y), information + strength, count + weight);
        }
        return (sum, information > 0 ? pixels / information : 0, count);
    }

    // The unknowns that two models have in common; what only the other has starts from nothing.
    private static double[] Carry(MotionModel from, double[] unknowns, MotionModel to)
    {
        var result = new double[to.Count];
        int frames = to.FirstShared / to.Own;
        for (int frame = 0; frame < frames; frame++)
        {
            for (int k = 0; k < Math.Min(from.Own, to.Own); k++)
                result[to.First(frame) + k] = unknowns[from.First(frame) + k];
        }
        int at = to.FirstShared, source = from.FirstShared;
        foreach ((MotionTerms term, int size) in new[] { (MotionTerms.SensorTilt, 2), (MotionTerms.Seat, 3) })
        {
            bool has = to.Terms.HasFlag(term), had = from.Terms.HasFlag(term);
            for (int k = 0; has && had && k < size; k++)
                result[at + k] = unknowns[source + k];
            (at, source) = (at + (has ? size : 0), source + (had ? size : 0));
        }
        return result;
    }
}
