using Imbrex.Engine.Documents;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Simulation;

namespace Imbrex.Judging;

/// <summary>
/// How far the found tiles lie from the true ones: the displacement of every tile's four corners after the rotation and shift that all
/// tiles have in common are taken out. Where sensors are tilted, corners are compared as they are cast onto the image plane.
/// </summary>
/// <param name="Rms">Root mean square over all corners, px.</param>
/// <param name="Largest">Largest displacement, px.</param>
/// <param name="Common">The common motion: where the merged picture's pixels show the scene.</param>
internal sealed record PoseError(double Rms, double Largest, CommonMotion Common)
{
    /// <summary>The error of a merge.</summary>
    public static PoseError Of(MosaicDocument found, TruthDocument truth) => Of(found.Tiles.ToDictionary(tile => tile.Id, tile => CornersOf(found, tile)), truth);

    /// <summary>The error of any tiles.</summary>
    /// <param name="found">Canvas positions of the four corner pixels' centres by tile, in the truth's order; a tile that is not there does not count.</param>
    /// <param name="truth">The truth.</param>
    public static PoseError Of(IReadOnlyDictionary<string, (double X, double Y)[]> found, TruthDocument truth)
    {
        TruthTilePart[] tiles = [.. truth.Tiles.Where(tile => found.ContainsKey(tile.Id))];
        (double X, double Y)[] from = [.. tiles.SelectMany(tile => found[tile.Id])];
        (double X, double Y)[] to = [.. tiles.SelectMany(tile => tile.CornersPx.Select(corner => (corner[0], corner[1])))];
        (double angle, double tx, double ty) = Rigid(from, to, out double rms, out double largest);
        // Rotation about the canvas's centre, as CommonMotion wants it.
        (double cx, double cy) = ((truth.WidthPx - 1) / 2.0, (truth.HeightPx - 1) / 2.0);
        (double sin, double cos) = Math.SinCos(angle);
        return new(rms, largest, new(cos * cx - sin * cy + tx - cx, sin * cx + cos * cy + ty - cy, angle * 180 / Math.PI));
    }

    /// <summary>Where the corner pixels' centres of a frame lie, in stored order.</summary>
    /// <param name="placement">Where the upright frame lies.</param>
    /// <param name="quarterTurns">Quarter turns clockwise from stored to upright.</param>
    /// <param name="width">Stored pixels across.</param>
    /// <param name="height">Stored pixels down.</param>
    public static (double X, double Y)[] Corners(Placement placement, int quarterTurns, int width, int height)
    {
        (int sin, int cos) = (quarterTurns & 3) switch { 0 => (0, 1), 1 => (1, 0), 2 => (0, -1), _ => (-1, 0) };
        (double right, double bottom) = ((width - 1) / 2.0, (height - 1) / 2.0);
        (double X, double Y)[] stored = [(-right, -bottom), (right, -bottom), (right, bottom), (-right, bottom)];
        return [.. stored.Select(corner => placement.ToCanvas(cos * corner.X - sin * corner.Y, sin * corner.X + cos * corner.Y))];
    }

    private static (double X, double Y)[] CornersOf(MosaicDocument mosaic, MosaicTilePart tile)
    {
        ISensor sensor = mosaic.Plan.TheSensor();
        (int width, int height) = tile.StoredTurned == true ? (sensor.HeightPx, sensor.WidthPx) : (sensor.WidthPx, sensor.HeightPx);
        // Tiles stand within a few degrees of a quarter turn.
        int quarters = (int)Math.Round(tile.RotationDeg / 90);
        Warp warp = tile.Warp is { } bent ? new(bent.E[0], bent.E[1], bent.E[2], bent.E[3], bent.G[0], bent.G[1]) : Warp.OfScale(tile.Scale);
        return Corners(new(tile.XPx, tile.YPx, (tile.RotationDeg - 90 * quarters) * Math.PI / 180, warp), quarters, width, height);
    }

    // The least-squares rotation and shift between two sets of points in the plane (closed form).
    private static (double Angle, double X, double Y) Rigid((double X, double Y)[] from, (double X, double Y)[] to, out double rms, out double largest)
    {
        double fx = from.Average(p => p.X), fy = from.Average(p => p.Y), tx = to.Average(p => p.X), ty = to.Average(p => p.Y);
        double dot = 0, cross = 0;
        for (int i = 0; i < from.Length; i++)
        {
            (double ax, double ay) = (from[i].X - fx, from[i].Y - fy);
            (double bx, double by) = (to[i].X - tx, to[i].Y - ty);
            dot += ax * bx + ay * by;
            cross += ax * by - ay * bx;
        }
        double angle = Math.Atan2(cross, dot);
        (double sin, double cos) = Math.SinCos(angle);
        (double x, double y) = (tx - cos * fx + sin * fy, ty - sin * fx - cos * fy);
        double[] squares = [.. from.Zip(to, (a, b) => Math.Pow(cos * a.X - sin * a.Y + x - b.X, 2) + Math.Pow(sin * a.X + cos * a.Y + y - b.Y, 2))];
        (rms, largest) = (Math.Sqrt(squares.Average()), Math.Sqrt(squares.Max()));
        return (angle, x, y);
    }
}
