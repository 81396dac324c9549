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

    /// <summary>Tilt of the sensor about the body's x and y, degrees; signs as in <see cref="SensorStance"/>. Absent where there is none.</summary>
    public IReadOnlyList<double>? SensorTiltDeg { get; init; }
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

    /// <summary>Canvas pixels for each of the frame's, at its centre; absent where it is 1.</summary>
    public double? Scale { get; init; }

    /// <summary>Canvas x and y of the centres of the frame's corner pixels, in stored order: first row's first, first row's last, last row's last, last row's first.</summary>
    public required IReadOnlyList<IReadOnlyList<double>> CornersPx { get; init; }

    /// <summary>Factors on the frame's linear light that even it out, R, G, B; geometric mean over the tiles 1.</summary>
    public required IReadOnlyList<double> Gain { get; init; }

    /// <summary>Veiling glare, linear R, G, B on top of the light before the gain; absent where there is none.</summary>
    public IReadOnlyList<double>? Glare { get; init; }

    /// <summary>What stood in the frame, and in no other, as boxes on the canvas; absent where nothing did.</summary>
    public IReadOnlyList<BoxPart>? Walkers { get; init; }

    /// <summary>The frames of the tile after the first, where it has several.</summary>
    public IReadOnlyList<TruthExposurePart>? More { get; init; }
}

/// <summary>A further frame of a tile; as <see cref="TruthTilePart"/>.</summary>
public sealed record TruthExposurePart
{
    public required string File { get; init; }
    public required double XPx { get; init; }
    public required double YPx { get; init; }
    public required double RotationDeg { get; init; }

    /// <summary>How much more light it got than the tile's first frame, stops.</summary>
    public required double Stops { get; init; }
    public IReadOnlyList<BoxPart>? Walkers { get; init; }
}

/// <summary>A rectangle on the canvas, px.</summary>
public sealed record BoxPart
{
    public required double LeftPx { get; init; }
    public required double TopPx { get; init; }
    public required double WidthPx { get; init; }
    public required double HeightPx { get; init; }
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
