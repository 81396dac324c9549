using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>The rule of focus: the standards come as close, or as far apart, as lens, back and body need.</summary>
internal static class FocusRule
{
    public const string Name = "focus";

    /// <summary>Judges; the part is null where a length is missing.</summary>
    public static (Judgement Judged, FocusPart? Part) Judge(CheckRequest request, KitOptics? optics)
    {
        if (request.Kit is null)
            return (Judgement.Skipped(Name, "Not judged: only a sensor is known, not lens and camera."), null);
        IReadOnlyList<string> missing = MissingFields(request.Kit, optics);
        if (missing.Count > 0)
            return (Judgement.Skipped(Name, $"Not judged: the kit does not give {Lengths.List(missing)}."), null);
        FocusReach reach = ReachOf(request.Kit, optics!);
        FocusPart part = Part(reach, request, optics!);
        string passed = $"Focus at {FocusWords.Distance(optics!.ObjectDistance)} puts {Lengths.Text(part.NeededMm)} mm between board and film; the camera goes from {Lengths.Text(reach.Shortest)} to {Lengths.Text(reach.Longest)} mm.";
        FailurePart[] failures = part.Reaches ? [] : [new() { Rule = Name, Tiles = [], Text = Failure(reach, part, optics) }];
        Judgement judged = Judgement.Of(Name, passed, failures) with
        {
            Warnings = [.. Warnings(part, request, optics).Select(text => new WarningPart { Rule = Name, Text = text })],
            Remedies = part.Reaches ? [] : [.. Remedies(reach, part, optics)],
        };
        return (judged, part);
    }

    /// <summary>The members of the kit without which focus cannot be judged.</summary>
    public static IReadOnlyList<string> MissingFields(KitDocument kit, KitOptics? optics) =>
    [
        .. new (bool Known, string Field)[]
        {
            (optics is not null, "lens"),
            (optics is null || optics.Lens.FlangeFocalMm is not null, "lens.flangeFocalMm"),
            (kit.Body.RegisterMm is not null, "body.registerMm"),
            (kit.Back.DatumToMountMm is not null, "back.datumToMountMm"),
            (kit.Camera?.FilmDepthMm is not null, "camera.filmDepthMm"),
            (kit.Camera?.BoardToFilmMinMm is not null, "camera.boardToFilmMinMm"),
            (kit.Camera?.BoardToFilmMaxMm is not null, "camera.boardToFilmMaxMm"),
        }.Where(need => !need.Known).Select(need => need.Field),
    ];

    private static FocusReach ReachOf(KitDocument kit, KitOptics optics) =>
        new(optics.Lens.FocalLengthMm, optics.Lens.FlangeFocalMm!.Value, optics.SensorBehindFilm!.Value, kit.Camera!.BoardToFilmMinMm!.Value, kit.Camera.BoardToFilmMaxMm!.Value);

    private static FocusPart Part(FocusReach reach, CheckRequest request, KitOptics optics)
    {
        double needed = reach.Needed(optics.Magnification);
        PlaneSize format = request.Format;
        return new()
        {
            ShortestMm = reach.Shortest,
            LongestMm = reach.Longest,
            NeededAtInfinityMm = reach.Needed(0),
            NeededMm = needed,
            ReachesInfinity = reach.Reaches(0),
            Reaches = reach.Reaches(optics.Magnification),
            RoomInMm = needed - reach.Shortest,
            RoomOutMm = reach.Longest - needed,
            FarthestMm = reach.SmallestMagnification is > 0 and var least ? ThinLens.ObjectDistance(reach.FocalLength, least) : null,
            NearestMm = reach.LargestMagnification is > 0 and var most ? ThinLens.ObjectDistance(reach.FocalLength, most) : null,
            CloseAfterGlassMm = reach.SensorBehindFilm,
            LargestLeanDeg = optics.WorkingAperture is { } n ? FocusReach.LargestLean(n, optics.CircleOfConfusion, Math.Max(format.Width, format.Height) / 2) : null,
        };
    }

    private static string Failure(FocusReach reach, FocusPart part, KitOptics optics) => part.NeededMm < reach.Shortest
        ? $"Focus at {FocusWords.Distance(optics.ObjectDistance)} needs {Lengths.Text(part.NeededMm)} mm between board and film, and the standards come no closer than {Lengths.Text(reach.Shortest)} mm: {Lengths.Text(-part.RoomInMm)} mm too far apart."
        : $"Focus at {FocusWords.Distance(optics.ObjectDistance)} needs {Lengths.Text(part.NeededMm)} mm between board and film, and the standards go no farther than {Lengths.Text(reach.Longest)} mm: {Lengths.Text(-part.RoomOutMm)} mm too short.";

    private static IEnumerable<RemedyPart> Remedies(FocusReach reach, FocusPart part, KitOptics optics)
    {
        if (part.NeededMm < reach.Shortest)
        {
            if (part is { FarthestMm: { } farthest, NearestMm: not null })
                yield return Remedy($"The farthest that this kit focuses is {FocusWords.Farthest(farthest)}.");
            string thinner = reach.SensorBehindFilm > -part.RoomInMm ? $"a back that is {Lengths.Up(-part.RoomInMm)} mm thinner, or " : "";
            yield return Remedy($"For {FocusWords.Distance(optics.ObjectDistance)} take {thinner}a recessed board or a lens with {Lengths.Up(-part.RoomInMm)} mm more flange focal length.");
        }
        else
        {
            if (part.NearestMm is { } nearest)
                yield return Remedy($"The nearest that this kit focuses is {FocusWords.Nearest(nearest)}.");
            yield return Remedy($"For {FocusWords.Distance(optics.ObjectDistance)} take an extension board of {Lengths.Up(-part.RoomOutMm)} mm, or a lens of shorter focal length.");
        }
    }

    private static RemedyPart Remedy(string text) => new() { Kind = Name, Text = text };

    private static IEnumerable<string> Warnings(FocusPart part, CheckRequest request, KitOptics optics)
    {
        if (part.Reaches && !part.ReachesInfinity)
            yield return $"This kit cannot focus at infinity: that would need {Lengths.Text(part.NeededAtInfinityMm)} mm between board and film; the farthest is {(part.FarthestMm is { } far ? FocusWords.Farthest(far) : "out of reach too")}.";
        if (part.LargestLeanDeg is not { } lean)
            yield break;
        KitDocument kit = request.Kit!;
        double seat = (kit.Back.Seats ?? []).SelectMany(one => one.TiltDeg ?? []).Select(Math.Abs).DefaultIfEmpty(0).Max();
        if (seat > lean)
            yield return FormattableString.Invariant($"The back's seat leans by {seat:0.##} degrees; from {lean:0.##} degrees on the ends of the picture leave the depth of focus at f/{optics.Aperture:0.##}. Shim the seat, or correct it with the standards.");
        double sensorLean = (kit.Back.SensorTiltDeg ?? []).Select(Math.Abs).DefaultIfEmpty(0).Max();
        double sensorLimit = FocusReach.LargestLean(optics.WorkingAperture!.Value, optics.CircleOfConfusion, Math.Max(request.Sensor.Width, request.Sensor.Height) / 2);
        if (sensorLean > sensorLimit)
            yield return FormattableString.Invariant($"The sensor leans by {sensorLean:0.##} degrees against its slide; from {sensorLimit:0.##} degrees on the edges of a frame leave the depth of focus at f/{optics.Aperture:0.##}.");
        double[] depths = [.. (kit.Back.Seats ?? []).Select(one => one.DepthMm ?? 0)];
        double step = depths.Length == 0 ? 0 : depths.Max() - depths.Min();
        double room = DepthOfField.DepthOfFocus(optics.Aperture!.Value, optics.CircleOfConfusion, optics.Magnification) / 2;
        if (step > room)
            yield return FormattableString.Invariant($"Turned over, the back holds the sensor {step:0.###} mm nearer or farther, and the depth of focus allows {room:0.###} mm either way: focus again, or shim one seat.");
    }
}
