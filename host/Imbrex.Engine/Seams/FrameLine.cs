namespace Imbrex.Engine.Seams;

/// <summary>
/// A row of canvas pixels seen from a frame: a column's offset from the frame's centre is (X + column StepX, Y + column StepY) divided by
/// W + column StepW.
/// </summary>
internal readonly record struct FrameLine(double X, double Y, double W, double StepX, double StepY, double StepW, double HalfWidth, double HalfHeight)
{
    /// <summary>Distance of a pixel from the frame's nearest edge in the frame's px; negative outside.</summary>
    public float Depth(int column)
    {
        (double across, double down) = Rooms(column);
        return (float)Math.Min(across, down);
    }

    /// <summary>How much a pixel belongs to the frame, px²; 0 outside, a little more than 0 on the very edge.</summary>
    public float Weight(int column)
    {
        (double across, double down) = Rooms(column);
        return Math.Min(across, down) <= -FrameOutline.Tolerance ? 0 : (float)((across + 1) * (down + 1));
    }

    /// <summary>Offset of a place on the row from the frame's centre.</summary>
    public (double X, double Y) At(double column)
    {
        double scale = StepW == 0 && W == 1 ? 1 : 1 / (W + column * StepW);
        return ((X + column * StepX) * scale, (Y + column * StepY) * scale);
    }

    // Distances to the nearest upright and the nearest level edge.
    private (double Across, double Down) Rooms(int column)
    {
        (double x, double y) = At(column);
        return (HalfWidth - Math.Abs(x), HalfHeight - Math.Abs(y));
    }
}
