using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Registration;

/// <summary>How far the plan may be trusted.</summary>
/// <param name="Pixels">Standard deviation of a nominal position, px.</param>
/// <param name="Radians">Standard deviation of a nominal angle.</param>
internal readonly record struct PlacementPrior(double Pixels, double Radians);

/// <summary>All placements, solved together.</summary>
/// <param name="Placements">One for each frame.</param>
/// <param name="Weights">The weight that each tie was left with, 0 (rejected) to 1.</param>
/// <param name="Covariances">
/// One 3 x 3 matrix for each frame over (x, y, angle), px and radians, with the mean of all frames (shift and rotation) held fixed.
/// </param>
/// <param name="Unknowns">The solved unknowns of the model.</param>
internal sealed record PoseSolution(IReadOnlyList<Placement> Placements, IReadOnlyList<double> Weights, IReadOnlyList<Matrix<double>> Covariances, double[] Unknowns);

/// <summary>
/// Places all frames together by robust weighted least squares on the ties, with the nominal placements as priors: Gauss-Newton over the unknowns of a
/// <see cref="MotionModel"/>, weights first by Huber, then by Tukey (Huber 1981; Holland and Welsch 1977; constants of the reference literature).
/// </summary>
internal static class PoseSolver
{
    private const int HuberRounds = 6, TukeyRounds = 10, FixedRounds = 3;
    private const double HuberLimit = 1.345, TukeyLimit = 4.685;

    /// <summary>As many measurements as the ties' own claim counts for, beside the scatter, when the claim is put right; it is never made bolder.</summary>
    private const double ClaimWeight = 20;

    /// <summary>Solves for shift and rotation of all frames.</summary>
    /// <param name="frames">The frames with their nominal placements.</param>
    /// <param name="start">Where to start from.</param>
    /// <param name="ties">The measurements.</param>
    /// <param name="prior">How far the plan may be trusted.</param>
    public static PoseSolution Solve(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> start, IReadOnlyList<Tie> ties, PlacementPrior prior)
    {
        var rigid = new MotionModel(frames, default, MotionTerms.Rigid);
        return Solve(rigid, rigid.Start(start), ties, prior);
    }

    /// <summary>Solves for all unknowns of a model.</summary>
    /// <param name="model">The unknowns and what they do.</param>
    /// <param name="start">Where to start from.</param>
    /// <param name="ties">The measurements.</param>
    /// <param name="prior">How far the plan may be trusted.</param>
    /// <param name="rejects">
    /// Whether ties that are far off lose all their weight; without it they keep some (Huber's), and a model that does not fit cannot settle on the few ties
    /// that happen to fit it.
    /// </param>
    public static PoseSolution Solve(MotionModel model, double[] start, IReadOnlyList<Tie> ties, PlacementPrior prior, bool rejects = true)
    {
        double[] unknowns = [.. start];
        var weights = new double[ties.Count];
        Array.Fill(weights, 1);
        (double limit, double claim) = (1, 1);
        for (int round = 0; round < HuberRounds + (rejects ? TukeyRounds : 0); round++)
        {
            new NormalEquations(model, unknowns, ties, weights, 1 / (limit * limit), prior).Step(unknowns);
            (limit, claim) = Reweight(model, ties, unknowns, weights, tukey: round >= HuberRounds);
        }
        var last = new NormalEquations(model, unknowns, ties, weights, 1 / (claim * claim), prior);
        return new(Place(model, unknowns), weights, last.Covariances(unknowns), unknowns);
    }

    /// <summary>Solves under weights that are given, the ties' claim put right by what the start leaves; for comparing models.</summary>
    public static double[] SolveWeighted(MotionModel model, double[] start, IReadOnlyList<Tie> ties, IReadOnlyList<double> weights, PlacementPrior prior)
    {
        double[] unknowns = [.. start];
        double left = 0, count = 0;
        Placement[] placements = Place(model, unknowns);
        for (int i = 0; i < ties.Count; i++)
        {
            (double x, double y) = ties[i].Disagreement(placements);
            (left, count) = (left + weights[i] * ties[i].Information.SquaredDistance(x, y), count + weights[i]);
        }
        double factor = 1 / Math.Max(1, left / Math.Max(2 * count, 1));
        for (int round = 0; round < FixedRounds; round++)
            new NormalEquations(model, unknowns, ties, weights, factor, prior).Step(unknowns);
        return unknowns;
    }

    /// <summary>Where a model's unknowns put all frames.</summary>
    public static Placement[] Place(MotionModel model, double[] unknowns)
    {
        var placements = new Placement[model.FirstShared / model.Own];
        for (int i = 0; i < placements.Length; i++)
            placements[i] = model.Place(i, unknowns);
        return placements;
    }

    // The scale is how much larger the differences are than the ties claim; for weighing never less than 1, since few ties agree by construction. The
    // length of a two-dimensional normal difference has the median sqrt(2 ln 2) = 1.1774; what the unknowns absorb is added back.
    private static (double Limit, double Claim) Reweight(MotionModel model, IReadOnlyList<Tie> ties, double[] unknowns, double[] weights, bool tukey)
    {
        if (ties.Count == 0)
            return (1, 1);
        Placement[] placements = Place(model, unknowns);
        var lengths = new double[ties.Count];
        for (int i = 0; i < lengths.Length; i++)
        {
            (double x, double y) = ties[i].Disagreement(placements);
            lengths[i] = Math.Sqrt(ties[i].Information.SquaredDistance(x, y));
        }
        double[] sorted = [.. lengths.Order()];
        double measurements = 2.0 * ties.Count, taken = Math.Min(Unknowns(model, ties), measurements - 1);
        double absorbed = measurements > 1.5 * taken ? Math.Sqrt(measurements / (measurements - taken)) : 1;
        double scale = sorted[sorted.Length / 2] / 1.1774 * absorbed, free = measurements - taken, limit = Math.Max(scale, 1);
        for (int i = 0; i < lengths.Length; i++)
        {
            double u = lengths[i] / limit;
            weights[i] = tukey ? (u < TukeyLimit ? Math.Pow(1 - u * u / (TukeyLimit * TukeyLimit), 2) : 0) : Math.Min(1, HuberLimit / Math.Max(u, 1e-9));
        }
        return (limit, Math.Sqrt(Math.Max(1, (free * scale * scale + ClaimWeight) / (free + ClaimWeight))));
    }

    // Frames without ties take up none of the measurements; one frame is where the others are measured from.
    private static double Unknowns(MotionModel model, IReadOnlyList<Tie> ties)
    {
        int tied = ties.SelectMany(tie => new[] { tie.A, tie.B }).Distinct().Count();
        return model.Own * (tied - 1.0) + model.Shared;
    }
}
