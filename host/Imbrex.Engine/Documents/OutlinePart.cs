using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Documents;

/// <summary>
/// A part that must not run into others: its outline seen from behind, between two depths. Parts of the body are drawn with the body upright, from the sensor's
/// centre, with depths from the lens mount; all others from the middle of the seat with the back upright, with depths from the film datum. x goes
/// right, y down. Parts on the carriage are drawn from the sensor's centre as it stands with the body at the first of the back's turns. Depths grow away from the lens and are negative before the mount or the datum.
/// </summary>
public sealed record OutlinePart
{
    /// <summary>What the part is called in findings, such as <c>grip</c> or <c>rail</c>.</summary>
    public required string Name { get; init; }

    /// <summary>The outline, then its holes, each as points [x, y] in mm, not closed by a repeated point.</summary>
    public required IReadOnlyList<IReadOnlyList<IReadOnlyList<double>>> RingsMm { get; init; }

    /// <summary>Where the part begins, mm; without it, it reaches forward without end.</summary>
    public double? FromDepthMm { get; init; }

    /// <summary>Where it ends, mm; without it, it reaches back without end.</summary>
    public double? ToDepthMm { get; init; }

    /// <summary>For parts of the back: <c>back</c> (the default) stays where the back is seated; <c>carriage</c> goes along with the body and does not turn with it.</summary>
    public string? MovesWith { get; init; }

    internal bool IsOnCarriage => MovesWith == Carriage;

    private const string Carriage = "carriage";

    internal void Validate(DocumentCheck check, string path, bool ofBack = false)
    {
        check.Require(!string.IsNullOrWhiteSpace(Name), path + ".name", "The part has no name.");
        check.Require(RingsMm.Count > 0, path + ".ringsMm", "The part has no outline.");
        check.Require(!(FromDepthMm >= ToDepthMm), path + ".toDepthMm", "The part ends before it begins: toDepthMm must be larger than fromDepthMm.");
        check.Require(MovesWith is null || ofBack, path + ".movesWith", "Only parts of the back say what they move with.");
        check.Require(MovesWith is null or "back" or Carriage, path + ".movesWith", $"It moves with \"{MovesWith}\"; known are back and carriage.");
        bool sound = RingsMm.Count > 0;
        check.Each(RingsMm, path + ".ringsMm", (ring, at) => sound &= Sound(check, ring, at));
        sound &= RingsMm.All(ring => ring is not null);
        if (sound)
            check.Require(ToPolygon().IsValid, path + ".ringsMm", "The outline crosses itself, or a hole does not lie inside it: go round each ring once, the outline first, then its holes.");
    }

    /// <summary>The outline as a polygon of the validated part.</summary>
    internal Polygon ToPolygon()
    {
        LinearRing[] rings = [.. RingsMm.Select(ring => new LinearRing([.. ring.Append(ring[0]).Select(point => new Coordinate(point[0], point[1]))]))];
        return new Polygon(rings[0], rings[1..]);
    }

    private static bool Sound(DocumentCheck check, IReadOnlyList<IReadOnlyList<double>> ring, string path)
    {
        check.Require(ring.Count >= 3, path, "A ring needs at least three points.");
        bool pairs = true;
        check.Each(ring, path, (point, at) =>
        {
            check.Require(point.Count == 2, at, "A point is [x, y].");
            pairs &= point.Count == 2;
        });
        return ring.Count >= 3 && pairs && ring.All(point => point is not null);
    }
}
