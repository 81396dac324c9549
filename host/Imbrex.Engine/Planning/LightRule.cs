using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The rule of light: the format lies inside the circle of light as the movements place it (outside the sharp circle is a warning), and what the
/// openings leave of the tiles still fills it.
/// </summary>
internal static class LightRule
{
    public const string Name = "light";

    // Fine enough that the outline is within 0.001 mm of a circle of 200 mm.
    private const int OutlinePoints = 720;

    /// <summary>Judges.</summary>
    /// <param name="request">The request.</param>
    /// <param name="tiles">Usable tiles, and the lens.</param>
    /// <param name="usable">What is usable of each tile.</param>
    /// <param name="gaps">What no usable tile shows of the format.</param>
    /// <param name="filled">Whether the tiles pass coverage and overlap.</param>
    public static Judgement Judge(CheckRequest request, UsableTiles tiles, IReadOnlyList<TileRectangle> usable, IReadOnlyList<Polygon> gaps, bool filled)
    {
        if (request.Kit is null)
            return Judgement.Skipped(Name, "Not judged: only a sensor is known, not the lens.");
        if (tiles.Optics is not { } optics)
            return Judgement.Skipped(Name, "Not judged: the kit has no lens.");
        Judgement throat = filled ? Judgement.Skipped(Name, "") : Throat.Judge(request, tiles, usable, gaps);
        if (optics.Light is not { } circle)
        {
            return throat.Failures.Count > 0 ? throat
                : Judgement.Skipped(Name, "The circle of light is not judged: the kit does not give lens.lightCircleMm.") with { Warnings = Warnings(request, optics) };
        }
        Judgement round = Circle(request, optics, circle);
        FailurePart[] failures = [.. round.Failures, .. throat.Failures];
        RulePart rule = round.Failures.Count > 0 || throat.Failures.Count == 0 ? round.Rule : throat.Rule;
        return new Judgement(rule)
        {
            Failures = failures,
            Warnings = [.. round.Warnings, .. Warnings(request, optics)],
            Remedies = [.. round.Remedies, .. throat.Remedies],
        };
    }

    /// <summary>The parts of a format outside a circle.</summary>
    public static IReadOnlyList<Polygon> Outside(LightCircle circle, PlaneSize format)
    {
        if (circle.Holds(format))
            return [];
        IReadOnlyList<PlanePoint> outline = circle.Outline(OutlinePoints);
        Geometry whole = PlaneArea.Rectangle(format);
        return outline.Count == 0 ? [(Polygon)whole] : [.. PlaneArea.Difference(whole, PlaneArea.Polygon(outline))];
    }

    private static Judgement Circle(CheckRequest request, KitOptics optics, LightCircle circle)
    {
        IReadOnlyList<Polygon> outside = Outside(circle, request.Format);
        double percent = 100 * outside.Sum(piece => piece.Area) / request.Format.Area;
        double allowed = optics.Picture.DarkCornersPercent ?? 0;
        if (outside.Count == 0)
        {
            double room = new PlanePoint[] { new(0, -1), new(0, 1), new(-1, 0), new(1, 0) }.Min(way => circle.Room(request.Format, way));
            return Judgement.Of(Name, $"The format lies inside the circle of light of {Lengths.Text(circle.Diameter)} mm, with {Lengths.Text(Lengths.Down(room))} mm to spare for movements.", []);
        }
        string dark = $"{Percent(percent)} of the format lies outside the circle of light of {Lengths.Text(circle.Diameter)} mm: it would take {Lengths.Text(circle.DiameterFor(request.Format, optics.Lens.FocalLengthMm) * (1 + optics.Magnification))} mm";
        if (percent <= allowed)
        {
            return Judgement.Of(Name, $"{dark}; {Percent(allowed)} of dark corners are allowed.", []) with
            {
                Warnings = [new() { Rule = Name, Text = $"{dark}. The corners will be dark." }],
            };
        }
        FailurePart[] failures = [.. outside.OrderByDescending(piece => piece.Area).Select(piece => new FailurePart
        {
            Rule = Name,
            Text = outside.Count == 1 ? dark + "." : $"{dark}; {Lengths.Text(piece.Area)} mm2 of it here.",
            Tiles = [],
            AreaMm2 = piece.Area,
            Region = PlaneArea.Rings(piece),
        })];
        return new Judgement(new RulePart { Rule = Name, Outcome = RulePart.Failed, Text = dark + "." })
        {
            Failures = failures,
            Remedies = [.. CircleRemedies(request, optics, circle, percent)],
        };
    }

    private static IEnumerable<RemedyPart> CircleRemedies(CheckRequest request, KitOptics optics, LightCircle circle, double percent)
    {
        if (Movements.Fitting(request.Format, optics) is { } movements)
            yield return new() { Kind = "movements", Text = movements };
        string growing = optics.Magnification > 0 ? " (stated at infinity)" : "";
        yield return new()
        {
            Kind = "lens",
            Text = $"Or use a lens of this focal length with a circle of at least {Lengths.Up(circle.DiameterFor(request.Format, optics.Lens.FocalLengthMm))} mm{growing}; this one has {Lengths.Text(optics.Lens.LightCircleMm!.Value)} mm.",
        };
        if (percent < 25)
            yield return new() { Kind = "dark-corners", Text = $"Or accept the dark corners: --allow-dark-corners {Lengths.Up(percent)}." };
    }

    private static IReadOnlyList<WarningPart> Warnings(CheckRequest request, KitOptics optics) =>
    [
        .. NotSharp(request, optics),
        .. optics.Lens.ImageCircleAperture is { } stated && optics.Aperture < stated && (optics.Lens.LightCircleMm ?? optics.Lens.SharpCircleMm) is not null
            ? [Warning(FormattableString.Invariant($"The lens's circles are stated at f/{stated} and are smaller at f/{optics.Aperture}."))]
            : Array.Empty<WarningPart>(),
    ];

    private static IEnumerable<WarningPart> NotSharp(CheckRequest request, KitOptics optics)
    {
        if (optics.Sharp is not { } sharp || sharp.Holds(request.Format))
            yield break;
        double percent = 100 * Outside(sharp, request.Format).Sum(piece => piece.Area) / request.Format.Area;
        yield return Warning($"{Percent(percent)} of the format lies outside the sharp circle of {Lengths.Text(sharp.Diameter)} mm and will be soft.");
    }

    private static WarningPart Warning(string text) => new() { Rule = Name, Text = text };


    private static string Percent(double percent) => FormattableString.Invariant($"{(percent < 0.1 ? Math.Ceiling(percent * 1000) / 1000 : Math.Round(percent, 1))} %");
}
