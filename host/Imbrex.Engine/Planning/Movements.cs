using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>The movements of a picture: whether the camera has them, and how much of them the circle of light allows.</summary>
internal static class Movements
{
    public const string Name = "movements";

    /// <summary>Judges; null where the picture has no movements.</summary>
    public static Judgement? Judge(CheckRequest request)
    {
        Movement[] moved = [.. All(request).Where(movement => movement.Value != 0)];
        if (moved.Length == 0)
            return null;
        var known = moved.Where(movement => movement.Range is not null).ToList();
        if (known.Count == 0)
            return Judgement.Skipped(Name, "Not judged: the kit does not give the camera's ranges.");
        var over = known.Where(movement => movement.Value < movement.Range![0] || movement.Value > movement.Range[1]).ToList();
        FailurePart[] failures = [.. over.Select(movement => new FailurePart
        {
            Rule = Name,
            Tiles = [],
            Text = FormattableString.Invariant($"The {movement.Name} is {movement.Value} {movement.Unit} and the camera's goes from {movement.Range![0]} to {movement.Range[1]}."),
        })];
        return Judgement.Of(Name, "The camera has these movements.", failures) with
        {
            Remedies = [.. over.Select(movement => new RemedyPart
            {
                Kind = Name,
                Text = FormattableString.Invariant($"A {movement.Name} of {Math.Clamp(movement.Value, movement.Range![0], movement.Range[1])} {movement.Unit} is the most that this camera does."),
            })],
        };
    }

    /// <summary>The greatest part of the movements with which the format lies inside the circle of light, in words; null where not even without them.</summary>
    public static string? Fitting(PlaneSize format, KitOptics optics)
    {
        if (optics.Picture.Movements is not { } moved || !Fits(0))
            return null;
        double part = Greatest.Passing(1, Fits);
        string[] words =
        [
            .. new (string Name, string Unit, double? Value)[] { ("rise", "mm", moved.RiseMm), ("shift", "mm", moved.ShiftMm), ("tilt", "degrees", moved.TiltDeg), ("swing", "degrees", moved.SwingDeg) }
                .Where(movement => movement.Value is not (null or 0))
                .Select(movement => FormattableString.Invariant($"{movement.Name} {Math.Truncate(part * movement.Value!.Value * 100) / 100:0.##} {movement.Unit}")),
        ];
        return words.Length == 0 ? null : $"The movements that the circle allows are {string.Join(", ", words)}.";

        bool Fits(double part)
        {
            LensStance stance = LensStance.Of(optics.Stance.Distance, optics.Stance.PupilDistance,
                part * (moved.RiseMm ?? 0), part * (moved.ShiftMm ?? 0), part * (moved.TiltDeg ?? 0), part * (moved.SwingDeg ?? 0));
            return (optics.Light!.Value with { Stance = stance }).Holds(format);
        }
    }

    /// <summary>
    /// Where a perpendicular from the lens's exit pupil meets the image plane: a sensor that is not in the plane sees the picture larger or smaller about that point.
    /// Without a kit the pupil is taken to stand at the lens, which a tilt turns about its own centre.
    /// </summary>
    public static PlanePoint PupilFoot(PlanDocument plan) => KitOptics.Of(plan.Kit, plan.Picture)?.Stance.PupilFoot
        ?? new(plan.Picture?.Movements?.ShiftMm ?? 0, -(plan.Picture?.Movements?.RiseMm ?? 0));

    private static IEnumerable<Movement> All(CheckRequest request)
    {
        MovementsPart moved = request.Picture?.Movements ?? new();
        CameraPart? camera = request.Kit?.Camera;
        yield return new("rise", "mm", moved.RiseMm ?? 0, camera?.RiseMm);
        yield return new("shift", "mm", moved.ShiftMm ?? 0, camera?.ShiftMm);
        yield return new("tilt", "degrees", moved.TiltDeg ?? 0, camera?.TiltDeg);
        yield return new("swing", "degrees", moved.SwingDeg ?? 0, camera?.SwingDeg);
    }

    private sealed record Movement(string Name, string Unit, double Value, IReadOnlyList<double>? Range);
}
