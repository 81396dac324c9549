namespace Imbrex.Engine.Registration;

/// <summary>
/// One measurement of the picture that two frames share: the same spot in both, as offsets from their centres in upright pixels,
/// and how well it was found.
/// </summary>
/// <param name="A">Index of the first frame.</param>
/// <param name="B">Index of the second frame.</param>
/// <param name="Ax">The spot in the first frame.</param>
/// <param name="Ay">The spot in the first frame.</param>
/// <param name="Bx">The spot in the second frame.</param>
/// <param name="By">The spot in the second frame.</param>
/// <param name="Information">Inverse covariance of the difference on the canvas, 1/px².</param>
internal readonly record struct Tie(int A, int B, double Ax, double Ay, double Bx, double By, Information Information)
{
    /// <summary>Where the first frame puts the spot, less where the second does, px on the canvas.</summary>
    public (double X, double Y) Disagreement(IReadOnlyList<Placement> placements)
    {
        (double ax, double ay) = placements[A].ToCanvas(Ax, Ay);
        (double bx, double by) = placements[B].ToCanvas(Bx, By);
        return (ax - bx, ay - by);
    }
}

/// <summary>A symmetric 2 x 2 matrix: the inverse of a covariance.</summary>
internal readonly record struct Information(double Xx, double Xy, double Yy)
{
    public static Information Isotropic(double sigma) => new(1 / (sigma * sigma), 0, 1 / (sigma * sigma));

    /// <summary>Whether it fixes both directions at all.</summary>
    public bool IsPositive => Xx > 0 && Yy > 0 && Xx * Yy - Xy * Xy > 0;

    public Information Scaled(double factor) => new(Xx * factor, Xy * factor, Yy * factor);

    /// <summary>What is left with another error, alike in all directions, added to the covariance.</summary>
    public Information WithError(double variance)
    {
        // (W^-1 + v I)^-1 = (W + v det W I) / det(I + v W).
        double det = Xx * Yy - Xy * Xy, scale = 1 / (1 + variance * (Xx + Yy) + variance * variance * det);
        return new((Xx + variance * det) * scale, Xy * scale, (Yy + variance * det) * scale);
    }

    /// <summary>The squared length of a difference in units of its standard deviation.</summary>
    public double SquaredDistance(double x, double y) => Xx * x * x + 2 * Xy * x * y + Yy * y * y;
}
