namespace Imbrex.Engine.Resampling;

/// <summary>A rigid map from a target's pixels to a source's: source = (X, Y) + R * (column, row), R clockwise on the screen.</summary>
/// <param name="X">Source column of target pixel (0, 0).</param>
/// <param name="Y">Source row of target pixel (0, 0).</param>
/// <param name="Angle">Radians clockwise.</param>
internal readonly record struct RigidMap(double X, double Y, double Angle)
{
    public static implicit operator PlaneMap(RigidMap map)
    {
        (double sin, double cos) = Math.SinCos(map.Angle);
        return new(cos, -sin, map.X, sin, cos, map.Y);
    }
}

/// <summary>
/// A projective map from a target's pixels to a source's: (Xx c + Xy r + X0, Yx c + Yy r + Y0) / (Wx c + Wy r + 1) for column c, row r.
/// </summary>
internal readonly record struct PlaneMap(double Xx, double Xy, double X0, double Yx, double Yy, double Y0, double Wx = 0, double Wy = 0)
{
    // tan 10 degrees.
    private const double SteepestSlope = 0.176;

    /// <summary>Whether the map moves by whole pixels only, so that nothing needs interpolating.</summary>
    public bool IsWhole => this == new PlaneMap(1, 0, Math.Floor(X0), 0, 1, Math.Floor(Y0));

    /// <summary>Whether rows and columns stay so nearly level and upright that one pass along each does.</summary>
    public bool IsNearlyLevel => Xx > 0.5 && Yy > 0.5 && Slope(Yx, Xx) < SteepestSlope && Slope(Xy, Yy) < SteepestSlope;

    /// <summary>The source position of a target position.</summary>
    public (double X, double Y) At(double column, double row)
    {
        double w = 1 / (Wx * column + Wy * row + 1);
        return ((Xx * column + Xy * row + X0) * w, (Yx * column + Yy * row + Y0) * w);
    }

    /// <summary>The source column where a target column meets a source row.</summary>
    public double ColumnAt(double column, double sourceRow)
    {
        // From sourceRow (Wx c + Wy r + 1) = Yx c + Yy r + Y0.
        double row = (sourceRow * (Wx * column + 1) - Yx * column - Y0) / (Yy - sourceRow * Wy);
        return At(column, row).X;
    }

    /// <summary>The map to a part of the source that begins so far right and down.</summary>
    public PlaneMap From(double left, double top) => this with
    {
        Xx = Xx - left * Wx,
        Xy = Xy - left * Wy,
        X0 = X0 - left,
        Yx = Yx - top * Wx,
        Yy = Yy - top * Wy,
        Y0 = Y0 - top,
    };

    /// <summary>The map of a part of the target that begins so far right and down.</summary>
    public PlaneMap Of(double column, double row)
    {
        double w = 1 / (Wx * column + Wy * row + 1);
        return new(Xx * w, Xy * w, (Xx * column + Xy * row + X0) * w, Yx * w, Yy * w, (Yx * column + Yy * row + Y0) * w, Wx * w, Wy * w);
    }

    private static double Slope(double across, double along) => Math.Abs(across / along);
}
