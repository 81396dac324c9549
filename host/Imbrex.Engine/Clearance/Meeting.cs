using Imbrex.Engine.Planning;
using NetTopologySuite.Geometries;
using NetTopologySuite.Geometries.Prepared;
using NetTopologySuite.Operation.Buffer;

namespace Imbrex.Engine.Clearance;

/// <summary>Two parts in one setting or on one leg of a way, as seen from behind.</summary>
/// <param name="Moving">The part that stands or moves there.</param>
/// <param name="Standing">What it must clear.</param>
/// <param name="Covered">What the moving part covers.</param>
/// <param name="Outline">The standing part where it is.</param>
/// <param name="Leg">While what moves, or null while nothing does.</param>
/// <param name="Depths">The depths of the mount at which they meet in depth as well.</param>
internal sealed record Meeting(Solid Moving, Solid Standing, Covered Covered, Polygon Outline, Leg? Leg, BlockedDepths Depths)
{
    // Bisection ends at this, mm.
    private const double Fine = 1e-3;

    // Arcs are told to 0.02 mm: what is no thicker than 0.025 mm touches.
    private const double Touch = 0.025;
    private static readonly BufferParameters Round = new(16);

    /// <summary>Whether they meet in the plane.</summary>
    public bool Meets { get; } = Overlaps(Covered.Pieces, Outline);

    /// <summary>Where both are.</summary>
    public IReadOnlyList<Polygon> Shared() => [.. PlaneArea.Intersection(Covered.Whole, Outline).Where(IsThick)];

    /// <summary>
    /// How far the two run into each other, mm: the distance of the innermost shared point from the nearer outline, the larger of the two outlines' figures. For a
    /// straight edge it is how far the other reaches across it.
    /// </summary>
    public double Interference()
    {
        Geometry shared = PlaneArea.Collect(Shared());
        return Math.Max(Innermost(shared, Outline), Innermost(shared, Covered.Whole));
    }

    /// <summary>The gap between the two, mm.</summary>
    /// <param name="worthKnowing">Gaps beyond this are not told apart.</param>
    public double Gap(double worthKnowing)
    {
        double least = worthKnowing;
        foreach (Polygon piece in Covered.Pieces)
        {
            if (piece.EnvelopeInternal.Distance(Outline.EnvelopeInternal) < least)
                least = Math.Min(least, piece.Distance(Outline));
        }
        return least;
    }

    private static bool Overlaps(IReadOnlyList<Polygon> pieces, Polygon outline)
    {
        Lazy<IPreparedGeometry> prepared = new(() => PreparedGeometryFactory.Prepare(outline));
        return pieces.Any(piece => piece.EnvelopeInternal.Intersects(outline.EnvelopeInternal) && prepared.Value.Intersects(piece)
            && PlaneArea.Intersection(piece, outline).Any(IsThick));
    }

    private static bool IsThick(Polygon shared) => 2 * shared.Area / shared.Length > Touch;

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
