using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using static System.FormattableString;

namespace Imbrex.Plugins.Layouts;

/// <summary>Refuses tiles that the back cannot reach; which settings reach the rest is the host's to prove.</summary>
internal static class Limits
{
    private const double Rounding = 1e-6;

    public static IReadOnlyList<Tile> Checked(IReadOnlyList<Tile> tiles, BackLimits limits)
    {
        foreach (PlanePoint centre in tiles.Select(tile => tile.Pose.Centre))
        {
            string x = Span("x", limits.Left, limits.Right);
            string y = Span("y", limits.Top, limits.Bottom);
            if (centre.X < limits.Left - Rounding)
                throw Refused.OutsideLimits(centre, "to the left", limits.Left, x);
            if (centre.X > limits.Right + Rounding)
                throw Refused.OutsideLimits(centre, "to the right", limits.Right, x);
            if (centre.Y < limits.Top - Rounding)
                throw Refused.OutsideLimits(centre, "upwards", limits.Top, y);
            if (centre.Y > limits.Bottom + Rounding)
                throw Refused.OutsideLimits(centre, "downwards", limits.Bottom, y);
        }
        return tiles;
    }

    private static string Span(string axis, double from, double to) => from == to
        ? Invariant($"Every tile must lie at {axis} = {from:0.###} mm: give a step or a position that does, ask for a smaller format, or turn the body.")
        : Invariant($"Keep {axis} from {from:0.###} to {to:0.###} mm: give a smaller step, ask for a smaller format, or turn the body.");
}
