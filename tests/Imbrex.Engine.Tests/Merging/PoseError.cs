using Imbrex.Engine.Documents;
using Imbrex.Engine.Simulation;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>
/// How far the found tiles lie from the true ones: the displacement of every tile's four corners after the rotation and shift that all
/// tiles have in common are taken out.
/// </summary>
/// <param name="Rms">Root mean square over all corners, px.</param>
/// <param name="Largest">Largest displacement, px.</param>
/// <param name="Common">The common motion: where the merged picture's pixels show the scene.</param>
internal sealed record PoseError(double Rms, double Largest, CommonMotion Common)
{
    public static PoseError Of(MosaicDocument found, TruthDocument truth)
    {
        ISensor sensor = found.Plan.TheSensor();
        List<(double X, double Y)> from = [], to = [];
        foreach (MosaicTilePart tile in found.Tiles)
        {
            TruthTilePart real = truth.Tiles.Single(t => t.Id == tile.Id);
            foreach ((double sx, double sy) in new[] { (-1, -1), (1, -1), (1, 1), (-1, 1) })
            {
                double dx = sx * (sensor.WidthPx - 1) / 2.0, dy = sy * (sensor.HeightPx - 1) / 2.0;
                from.Add(Corner(tile.XPx, tile.YPx, tile.RotationDeg, dx, dy));
                to.Add(Corner(real.XPx, real.YPx, real.RotationDeg, dx, dy));
            }
        }
        (double angle, double tx, double ty) = Rigid(from, to, out double rms, out double largest);
        // Rotation about the canvas's centre, as CommonMotion wants it.
        (double cx, double cy) = ((found.WidthPx - 1) / 2.0, (found.HeightPx - 1) / 2.0);
        (double sin, double cos) = Math.SinCos(angle);
        return new(rms, largest, new(cos * cx - sin * cy + tx - cx, sin * cx + cos * cy + ty - cy, angle * 180 / Math.PI));
    }

    private static (double X, double Y) Corner(double x, double y, double degrees, double dx, double dy)
    {
        (double sin, double cos) = Math.SinCos(degrees * Math.PI / 180);
        return (x + cos * dx - sin * dy, y + sin * dx + cos * dy);
    }

    // The least-squares rotation and shift between two sets of points in the plane (closed form).
    private static (double Angle, double X, double Y) Rigid(List<(double X, double Y)> from, List<(double X, double Y)> to, out double rms, out double largest)
    {
        double fx = from.Average(p => p.X), fy = from.Average(p => p.Y), tx = to.Average(p => p.X), ty = to.Average(p => p.Y);
        double dot = 0, cross = 0;
        for (int i = 0; i < from.Count; i++)
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
