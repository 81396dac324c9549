using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;

namespace Imbrex.Engine.Planning;

/// <summary>What cannot be told, and which members of the kit or the picture would tell it.</summary>
internal static class MissingFacts
{
    public static IReadOnlyList<MissingPart> Of(CheckRequest request, KitOptics? optics)
    {
        if (request.Kit is not { } kit)
            return [];
        if (optics is null)
            return [Part("what lens, focus and light allow: image circle, clipping, sharpness, angle of view, whether it focuses", "lens"), .. Clearance(kit)];
        LensPart lens = optics.Lens;
        IReadOnlyList<string> focus = FocusRule.MissingFields(kit, optics);
        return
        [
            .. lens.LightCircleMm is null ? [Part("whether the lens lights the whole format, and how far it can be moved", "lens.lightCircleMm")] : Nothing,
            .. lens.SharpCircleMm is null ? [Part("whether the lens is sharp over the whole format", "lens.sharpCircleMm")] : Nothing,
            .. optics.Aperture is null ? [Part("clipping, diffraction and depth", "picture.aperture", "lens.imageCircleAperture")] : Nothing,
            .. kit.Body.Stops is null ? [Part("what the mount's throat takes of the light at the outer tiles", "body.stops")] : Nothing,
            .. kit.Back is { OpeningMm: null } or { OpeningToSensorMm: null } ? [Part("what the back's opening takes of the light", [.. Names(kit.Back)])] : Nothing,
            .. focus.Count > 0 ? [Part("whether the camera can focus, and by how much to close it after focusing on the glass", [.. focus])] : Nothing,
            .. UnknownMovers(request, optics),
            .. Clearance(kit),
        ];
    }

    private static MissingPart[] Nothing => [];

    private static IEnumerable<string> Names(BackPart back)
    {
        if (back.OpeningMm is null)
            yield return "back.openingMm";
        if (back.OpeningToSensorMm is null)
            yield return "back.openingToSensorMm";
    }

    // A kit that draws neither side asks for no judgement.
    private static MissingPart[] Clearance(KitDocument kit)
    {
        bool body = kit.Body.Outline is { Count: > 0 }, back = kit.Back.Outline is { Count: > 0 } || kit.Camera?.Outline is { Count: > 0 };
        return body == back ? [] : [Part("whether body and back clear each other", body ? "back.outline" : "body.outline")];
    }

    private static IEnumerable<MissingPart> UnknownMovers(CheckRequest request, KitOptics optics)
    {
        if (request.Picture?.Movers is not { } movers)
            yield break;
        if (request.Picture.Seconds is null)
            yield return Part("which neutral density makes the exposure long enough", "picture.seconds");
        if (double.IsInfinity(optics.ObjectDistance) && movers.Any(mover => mover.DistanceMm is null))
            yield return Part("how short an exposure freezes what moves", "picture.movers.distanceMm", "picture.focusDistanceMm");
        if (movers.Any(mover => mover.PerMinute is null && mover.Sways is not true))
            yield return Part("how many frames a tile a median needs", "picture.movers.perMinute");
    }

    private static MissingPart Part(string text, params string[] fields) => new() { Fields = fields, Text = text };
}
