using Imbrex.Engine.Planning;
using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Buffer;

namespace Imbrex.Engine.Clearance;

/// <summary>Two parts that meet, as seen from behind.</summary>
/// <param name="Moving">The part that stands or moves there.</param>
/// <param name="Standing">What it must clear.</param>
/// <param name="Pieces">What the moving part covers.</param>
/// <param name="Outline">The standing part where it is.</param>
/// <param name="Shared">Where both are; empty where they stay apart.</param>
/// <param name="Leg">While what moves, or null while nothing does.</param>
/// <param name="Depths">The depths of the mount at which they then meet.</param>
internal sealed record Meeting(Solid Moving, Solid Standing, IReadOnlyList<Polygon> Pieces, Polygon Outline, IReadOnlyList<Polygon> Shared, Leg? Leg, BlockedDepths Depths)
{
    // Bisection ends at this, mm.
    private const double Fine = 1e-4;

    // Arcs are told to 0.001 mm: what is no thicker touches.
    private const double Touch = 0.002;
    private static readonly BufferParameters Round = new(16);

    /// <summary>Where both are, or nothing.</summary>
    public static IReadOnlyList<Polygon> SharedBy(IReadOnlyList<Polygon> pieces, Polygon outline)
    {
        Polygon[] near = [.. pieces.Where(piece => piece.EnvelopeInternal.Intersects(outline.EnvelopeInternal) && piece.Intersects(outline))];
        return near.Length == 0 ? [] : [.. PlaneArea.Intersection(PlaneArea.Union(near), outline).Where(shared => 2 * shared.Area / shared.Length > Touch)];
    }

    /// <summary>
    /// How far the two run into each other, mm: the distance of the innermost shared point from the nearer outline, the larger of the two outlines' figures. For a
    /// straight edge it is how far the other reaches across it.
    /// </summary>
    public double Interference()
    {
        Geometry shared = PlaneArea.Collect(Shared);
        return Math.Max(Innermost(shared, Outline), Innermost(shared, PlaneArea.Union(Pieces)));
    }

    /// <summary>The gap between the two, mm.</summary>
    /// <param name="worthKnowing">Gaps beyond this are not told apart.</param>
    public double Gap(double worthKnowing)
    {
        double least = worthKnowing;
        foreach (Polygon piece in Pieces)
        {
            if (piece.EnvelopeInternal.Distance(Outline.EnvelopeInternal) < least)
                least = Math.Min(least, piece.Distance(Outline));
        }
        return least;
    }

    private static double Innermost(Geometry shared, Geometry outline)
    {
        Envelope box = outline.EnvelopeInternal;
        (double known, double too) = (0.0, Math.Min(box.Width, box.Height) / 2);
        while (too - known > Fine)
        {
            double middle = (known + too) / 2;
            if (outline.Buffer(-middle, Round) is { IsEmpty: false } inner && inner.Intersects(shared))
                known = middle;
            else
                too = middle;
        }
        return (known + too) / 2;
    }
}
