using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Simulation;

/// <summary>What the simulated camera did: the poses and gains that a perfect merge would find.</summary>
public sealed record TruthDocument : JsonDocument
{
    public const string SchemaName = "imbrex/truth/1";
    public const string FileName = "truth.json";

    public required long Seed { get; init; }
    public required double PxPerMm { get; init; }
    public required int WidthPx { get; init; }
    public required int HeightPx { get; init; }

    /// <summary>Left edge of the canvas in the scene frame (u = -x), mm.</summary>
    public required double LeftMm { get; init; }

    /// <summary>Top edge of the canvas in the scene frame (v = -y), mm.</summary>
    public required double TopMm { get; init; }
    public required ShadingPart Shading { get; init; }
    public required IReadOnlyList<TruthTilePart> Tiles { get; init; }

    internal override void Validate(DocumentCheck check)
    {
        check.Positive(PxPerMm, "$.pxPerMm");
        check.Require(Tiles.Count > 0, "$.tiles", "There are no tiles.");
        check.Each(Tiles, "$.tiles", (tile, at) => check.Require(tile.Gain.Count == 3, at + ".gain", "A gain has three values: R, G, B."));
    }
}

/// <summary>One frame, in the terms of mosaic.json.</summary>
public sealed record TruthTilePart
{
    public required string Id { get; init; }
    public required string File { get; init; }

    /// <summary>Where the frame's centre lies on the canvas.</summary>
    public required double XPx { get; init; }
    public required double YPx { get; init; }

    /// <summary>Full rotation from stored pixels to the canvas, clockwise on the screen, in (-180, 180].</summary>
    public required double RotationDeg { get; init; }

    /// <summary>Factors on the frame's linear light that even it out, R, G, B; geometric mean over the tiles 1.</summary>
    public required IReadOnlyList<double> Gain { get; init; }
}

/// <summary>
/// The light that the sensor sees everywhere alike: 1 - quadratic * q^2 + across * qx + down * qy for R, G, B, with q the place
/// on the sensor from its centre, the body upright, 1 long at the corners.
/// </summary>
public sealed record ShadingPart
{
    public required IReadOnlyList<double> Quadratic { get; init; }
    public required IReadOnlyList<double> Across { get; init; }
    public required IReadOnlyList<double> Down { get; init; }
}
