using Imbrex.Engine.Documents;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Clearance;

/// <summary>What a part is fixed to.</summary>
internal enum Holder
{
    /// <summary>The body: it goes and turns with it.</summary>
    Body,

    /// <summary>What carries the body: it goes with it and does not turn with it.</summary>
    Carriage,

    /// <summary>The back's seat: it stays, and turns over with the back.</summary>
    Back,

    /// <summary>The camera's rear standard.</summary>
    Camera,
}

/// <summary>A part with its outline in its holder's frame and its depths: those of the body from its mount, all others from the film datum.</summary>
internal sealed record Solid(string Name, Polygon Outline, double From, double To, Holder Holder)
{
    public static IReadOnlyList<Solid> Of(KitDocument kit) =>
    [
        .. (kit.Body.Outline ?? []).Select(part => Of(part, Holder.Body)),
        .. (kit.Back.Outline ?? []).Select(part => Of(part, part.IsOnCarriage ? Holder.Carriage : Holder.Back)),
        .. (kit.Camera?.Outline ?? []).Select(part => Of(part, Holder.Camera)),
    ];

    private static Solid Of(OutlinePart part, Holder holder) =>
        new(part.Name, part.ToPolygon(), part.FromDepthMm ?? double.NegativeInfinity, part.ToDepthMm ?? double.PositiveInfinity, holder);
}

/// <summary>Depths of the mount at which two parts that meet in the plane meet in depth as well: between the two ends, which themselves are clear.</summary>
/// <param name="From">Above this.</param>
/// <param name="To">And below this.</param>
internal readonly record struct BlockedDepths(double From, double To)
{
    // Depths nearer than this touch.
    private const double Touch = 1e-6;

    public static BlockedDepths Always { get; } = new(double.NegativeInfinity, double.PositiveInfinity);

    /// <summary>Whether they meet at a depth of the mount; without a depth, whether they meet at every depth.</summary>
    public bool Block(double? depth) => depth is { } d ? d > From + Touch && d < To - Touch : this == Always;

    /// <summary>The depths at which two parts meet, or null where they never do.</summary>
    /// <param name="moving">A part of body or carriage.</param>
    /// <param name="standing">What it must clear.</param>
    /// <param name="seatDepth">How much deeper the back sits in its present seat.</param>
    public static BlockedDepths? Between(Solid moving, Solid standing, double seatDepth)
    {
        double lift = standing.Holder == Holder.Camera ? seatDepth : 0;
        if (moving.Holder == Holder.Body)
            return new(standing.From - moving.To - lift, standing.To - moving.From - lift);
        return moving.From + lift < standing.To - Touch && standing.From < moving.To + lift - Touch ? Always : null;
    }
}
