using System.Reflection;
using System.Text.Json;
using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Optics;

/// <summary>A generic class of lenses, scaled by the focal length. Its figures are what is usual; one's own lens is better measured.</summary>
public sealed record LensClass
{
    public required string Name { get; init; }
    public required string Summary { get; init; }

    /// <summary>Full angle that the lens lights at infinity, degrees.</summary>
    public required double LightAngleDeg { get; init; }

    /// <summary>Full angle in which it is sharp, degrees.</summary>
    public required double SharpAngleDeg { get; init; }

    /// <summary>The f-number of both angles.</summary>
    public required double CircleAperture { get; init; }

    /// <summary>Flange focal length by focal length.</summary>
    public required double FlangeFactor { get; init; }

    /// <summary>Exit pupil by entrance pupil.</summary>
    public required double PupilMagnification { get; init; }

    /// <summary>Widest and smallest aperture, f-numbers.</summary>
    public required IReadOnlyList<double> ApertureRange { get; init; }

    /// <summary>Where the figures come from.</summary>
    public required string Source { get; init; }
}

/// <summary>What is usual, as data: classes of lenses, sheets of film, things that move. Read once; thread-safe.</summary>
public static class LensCatalogue
{
    /// <summary>The classes of lenses.</summary>
    public static IReadOnlyList<LensClass> Classes { get; } = Read<LensClass>("lens-classes.json");

    /// <summary>Nominal sheets of film: 4x5, 5x7 and 8x10 inch to the inch, and what 4x5 inch holders leave visible (from memory).</summary>
    public static IReadOnlyList<SheetPart> Sheets { get; } = Read<SheetPart>("sheets.json");

    /// <summary>Things that move. Walkers: 0.5 m at 1.4 m/s; all common practice, no source.</summary>
    public static IReadOnlyList<MoverPart> Movers { get; } = Read<MoverPart>("movers.json");

    /// <summary>A class by its name, or null.</summary>
    public static LensClass? Find(string name) => Classes.FirstOrDefault(known => known.Name == name);

    /// <summary>A lens with what its class says for what is not given.</summary>
    /// <param name="lens">A validated lens.</param>
    /// <param name="fromClass">The members that come from the class, as they are called in the kit.</param>
    public static LensPart Complete(LensPart lens, out IReadOnlyList<string> fromClass)
    {
        ArgumentNullException.ThrowIfNull(lens);
        if (lens.Class is null || Find(lens.Class) is not { } known)
        {
            fromClass = [];
            return lens;
        }
        double f = lens.FocalLengthMm;
        double light = Circle(known.LightAngleDeg), sharp = Circle(known.SharpAngleDeg);
        var taken = new List<string>();
        LensPart whole = lens with
        {
            FlangeFocalMm = lens.FlangeFocalMm ?? Take("flangeFocalMm", known.FlangeFactor * f),
            PupilMagnification = lens.PupilMagnification ?? Take("pupilMagnification", known.PupilMagnification),
            LightCircleMm = lens.LightCircleMm ?? Take("lightCircleMm", Math.Max(light, lens.SharpCircleMm ?? 0)),
            SharpCircleMm = lens.SharpCircleMm ?? Take("sharpCircleMm", Math.Min(sharp, lens.LightCircleMm ?? double.PositiveInfinity)),
            ImageCircleAperture = lens.ImageCircleAperture ?? Take("imageCircleAperture", known.CircleAperture),
            ApertureRange = lens.ApertureRange ?? known.ApertureRange,
        };
        fromClass = taken;
        return whole;

        double Circle(double angle) => ImageCircle.Diameter(f, 0, angle);

        double Take(string member, double value)
        {
            taken.Add(member);
            return value;
        }
    }

    private static IReadOnlyList<T> Read<T>(string name)
    {
        using Stream stream = Assembly.GetExecutingAssembly().GetManifestResourceStream(name)!;
        return JsonSerializer.Deserialize<T[]>(stream, JsonDocuments.Options)!;
    }
}
