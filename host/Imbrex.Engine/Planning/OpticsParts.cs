namespace Imbrex.Engine.Planning;

/// <summary>Something that refuses nothing and should be known.</summary>
public sealed record WarningPart
{
    /// <summary>The rule that it belongs to: <c>light</c>, <c>focus</c> or <c>exposure</c>.</summary>
    public required string Rule { get; init; }
    public required string Text { get; init; }
}

/// <summary>What cannot be told, because the kit or the picture does not say enough.</summary>
public sealed record MissingPart
{
    /// <summary>The members that are missing, such as <c>body.stops</c>.</summary>
    public required IReadOnlyList<string> Fields { get; init; }
    public required string Text { get; init; }
}

/// <summary>What lens and picture come to. Lengths in mm, light in stops.</summary>
public sealed record OpticsPart
{
    public required double FocalLengthMm { get; init; }

    /// <summary>Size in the image by size of the thing; 0 at infinity.</summary>
    public required double Magnification { get; init; }

    /// <summary>Distance of what is focused on; null at infinity.</summary>
    public double? FocusDistanceMm { get; init; }
    public required double ImageDistanceMm { get; init; }

    /// <summary>The f-number: the picture's, or that at which the lens's circles are stated; null where neither is known.</summary>
    public double? Aperture { get; init; }

    /// <summary>The f-number that light and diffraction go by: N (1 + m / P).</summary>
    public double? WorkingAperture { get; init; }

    /// <summary>By how much an exposure metered at infinity must be multiplied, and the same in stops.</summary>
    public required double BellowsFactor { get; init; }
    public required double BellowsStops { get; init; }

    /// <summary>Where the lens axis meets the image plane: [x, y].</summary>
    public required IReadOnlyList<double> AxisMm { get; init; }
    public CirclePart? LightCircle { get; init; }
    public CirclePart? SharpCircle { get; init; }
    public required FalloffPart Falloff { get; init; }
    public DiffractionPart? Diffraction { get; init; }
    public DepthPart? Depth { get; init; }
    public required ViewPart View { get; init; }

    /// <summary>Clipping and falloff of each tile, in the order of the tiles.</summary>
    public required IReadOnlyList<TileLightPart> Tiles { get; init; }
}

/// <summary>One of the lens's circles over the format.</summary>
public sealed record CirclePart
{
    /// <summary>Diameter at this magnification, without tilt.</summary>
    public required double DiameterMm { get; init; }
    public required bool HoldsFormat { get; init; }

    /// <summary>Part of the format's area outside, percent.</summary>
    public required double OutsidePercent { get; init; }

    /// <summary>The diameter at infinity that would just hold the format.</summary>
    public required double NeededAtInfinityMm { get; init; }

    /// <summary>How far the lens can still go each way; all 0 where the format does not lie inside.</summary>
    public required RoomPart Room { get; init; }

    /// <summary>Outline on the image plane, for drawings: [[x, y], …]; empty where it is no closed curve.</summary>
    public required IReadOnlyList<IReadOnlyList<double>> OutlineMm { get; init; }
}

/// <summary>Movement that remains, mm.</summary>
public sealed record RoomPart
{
    public required double RiseMm { get; init; }
    public required double FallMm { get; init; }
    public required double LeftMm { get; init; }
    public required double RightMm { get; init; }
}

/// <summary>Natural falloff at the darkest corner of the format, against the light straight behind an untilted lens; stops, negative for less.</summary>
public sealed record FalloffPart
{
    public required IReadOnlyList<double> CornerMm { get; init; }

    /// <summary>Which formula <see cref="SmallPupilStops"/> is: <c>cos^4</c>, or <c>cos cos^3</c> where the lens is tilted.</summary>
    public required string Formula { get; init; }
    public required double SmallPupilStops { get; init; }

    /// <summary>By the exact formula of an evenly bright disc; null without an aperture and for a tilted lens.</summary>
    public double? DiscStops { get; init; }

    /// <summary>Between the brightest and the darkest corner or the middle of the format, by the small-pupil formula.</summary>
    public required double SpreadStops { get; init; }
}

/// <summary>Diffraction in green light, 0.00055 mm, against the pixels.</summary>
public sealed record DiffractionPart
{
    /// <summary>Cycles per mm above which nothing is left.</summary>
    public required double CutOffPerMm { get; init; }

    /// <summary>Highest frequency that the pixels resolve, cycles per mm, and the contrast that diffraction leaves there, 0 to 1.</summary>
    public required double NyquistPerMm { get; init; }
    public required double ContrastAtNyquist { get; init; }

    /// <summary>Diameter of the Airy disc.</summary>
    public required double AiryDiameterMm { get; init; }

    /// <summary>Aperture, as engraved, from which on nothing can alias: all pixels, and the red and blue of a colour mosaic.</summary>
    public required double NoAliasingAperture { get; init; }
    public required double NoAliasingMosaicAperture { get; init; }
}

/// <summary>From where to where it is sharp, untilted.</summary>
public sealed record DepthPart
{
    public required double CircleOfConfusionMm { get; init; }
    public required double HyperfocalMm { get; init; }
    public required double NearMm { get; init; }

    /// <summary>Null for infinity.</summary>
    public double? FarMm { get; init; }

    /// <summary>The whole room for the sensor behind the lens.</summary>
    public required double DepthOfFocusMm { get; init; }

    /// <summary>For the depth asked for: distance between the sensor's places for the nearest and the farthest thing.</summary>
    public double? FocusSpreadMm { get; init; }

    /// <summary>The aperture that makes that spread sharp.</summary>
    public double? SpreadAperture { get; init; }

    /// <summary>The aperture that balances its blur with diffraction.</summary>
    public double? BalancedAperture { get; init; }

    /// <summary>Where to focus for that depth, mm from the lens: the middle of the spread; null for infinity.</summary>
    public double? FocusAtMm { get; init; }

    /// <summary>Distance from the lens to the hinge line of a tilted or swung lens.</summary>
    public double? HingeMm { get; init; }
}

/// <summary>What the format takes in.</summary>
public sealed record ViewPart
{
    public required double WidthDeg { get; init; }
    public required double HeightDeg { get; init; }
    public required double DiagonalDeg { get; init; }
    public required int WidthPx { get; init; }
    public required int HeightPx { get; init; }

    /// <summary>Focal lengths that give the same view, by the diagonal, on the sensor alone and on sheets of film.</summary>
    public required IReadOnlyList<EquivalentPart> Equivalents { get; init; }
}

/// <summary>A focal length of the same view.</summary>
public sealed record EquivalentPart
{
    public required string Format { get; init; }
    public required double FocalLengthMm { get; init; }
}

/// <summary>The light of one tile.</summary>
public sealed record TileLightPart
{
    public required string Id { get; init; }

    /// <summary>Fraction of the exit pupil that the worst corner sees, 0 to 1, and where that is; null without an aperture or openings.</summary>
    public double? LeastLight { get; init; }
    public IReadOnlyList<double>? AtMm { get; init; }

    /// <summary>Natural falloff of the tile's darkest corner, stops, by the small-pupil formula.</summary>
    public required double FalloffStops { get; init; }

    /// <summary>Whether a part of the tile is left out for want of light.</summary>
    public required bool Cut { get; init; }
}

/// <summary>Whether the camera can focus through the back. Lengths in mm; board to film as the camera counts it.</summary>
public sealed record FocusPart
{
    public required double ShortestMm { get; init; }
    public required double LongestMm { get; init; }
    public required double NeededAtInfinityMm { get; init; }

    /// <summary>For the focus of this picture.</summary>
    public required double NeededMm { get; init; }
    public required bool ReachesInfinity { get; init; }
    public required bool Reaches { get; init; }

    /// <summary>How much closer and how much farther apart the standards could still go; negative where they cannot go so far.</summary>
    public required double RoomInMm { get; init; }
    public required double RoomOutMm { get; init; }

    /// <summary>The farthest that can be focused; null for infinity. The nearest; null where nothing can.</summary>
    public double? FarthestMm { get; init; }
    public double? NearestMm { get; init; }

    /// <summary>By how much the sensor lies behind the ground glass, and so by how much to close the standards after focusing on the glass.</summary>
    public required double CloseAfterGlassMm { get; init; }

    /// <summary>How far the plane in which the sensor slides may lean before the ends of the picture leave the depth of focus, degrees; null without an aperture.</summary>
    public double? LargestLeanDeg { get; init; }
}

/// <summary>How long to expose, and how long the take lasts.</summary>
public sealed record ExposurePart
{
    public required IReadOnlyList<MoverTimePart> Movers { get; init; }

    /// <summary>Seconds for one frame: as metered, or as long as the slowest mover needs to vanish.</summary>
    public required double FrameSeconds { get; init; }

    /// <summary>Seconds for the take with one frame a tile, moving and settling included.</summary>
    public required double TakeSeconds { get; init; }

    /// <summary>Frames a tile whose median is clean instead, as metered, and the seconds for that take; null where it is not known how many pass, or too many do.</summary>
    public int? MedianFrames { get; init; }
    public double? MedianTakeSeconds { get; init; }

    /// <summary>How far the sun goes along its path meanwhile, degrees.</summary>
    public required double SunDeg { get; init; }

    /// <summary>Altitude of the sun below which its light on level ground may change by more than a third of a stop meanwhile, degrees.</summary>
    public required double LowSunDeg { get; init; }
}

/// <summary>What one mover asks for.</summary>
public sealed record MoverTimePart
{
    public required string Name { get; init; }

    /// <summary>Exposure after which it is gone; null for what sways.</summary>
    public double? VanishSeconds { get; init; }

    /// <summary>Neutral density that gets there from the metered exposure, stops; 0 where none is needed, null where nothing is metered.</summary>
    public double? NeutralDensityStops { get; init; }

    /// <summary>How fast it runs over the sensor, px/s, and the longest exposure that freezes it to one pixel; null where its distance is not known.</summary>
    public double? ImageSpeedPxPerS { get; init; }
    public double? FreezeSeconds { get; init; }

    /// <summary>Frames whose median shows what is behind it, for as many as pass in a minute; null where that is not known or too many do.</summary>
    public int? MedianFrames { get; init; }
}
