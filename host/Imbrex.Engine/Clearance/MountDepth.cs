using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;

namespace Imbrex.Engine.Clearance;

/// <summary>The depth at which a mount that slides is clamped.</summary>
internal static class MountDepth
{
    /// <summary>The depth for a request, mm; null where the kit does not tell.</summary>
    public static double? Of(CheckRequest request) => request.Kit?.Back.DatumToMountMm is { } range
        ? request.Picture?.MountDepthMm ?? (range.IsFixed ? range.Least : KitOptics.Of(request.Kit, request.Picture)?.MountDepth ?? range.Least)
        : null;

    /// <summary>
    /// Chooses the depth of a mount that slides where the picture does not say: the least that lets the camera focus and at which everything clears.
    /// </summary>
    public static CheckRequest Settle(CheckRequest request, ClearanceRule? clearance)
    {
        if (request.Kit?.Back.DatumToMountMm is not { IsFixed: false } range || request.Picture?.MountDepthMm is not null)
            return request;
        double least = Of(request)!.Value, clear = clearance?.ClearFrom(least) ?? least;
        return request with { Picture = (request.Picture ?? new()) with { MountDepthMm = clear <= range.Most ? clear : least } };
    }

    /// <summary>Refuses a depth that the mount does not have.</summary>
    /// <exception cref="InputException">Outside the range, or there is nothing to set.</exception>
    public static void Validate(KitDocument? kit, PicturePart? picture)
    {
        if (picture?.MountDepthMm is not { } depth)
            return;
        if (kit?.Back.DatumToMountMm is not { } range)
            throw new InputException("The picture gives the depth of the mount, and the kit does not say that it can be set.", "mountDepthMm", "Give back.datumToMountMm as [least, most], or leave mountDepthMm out.");
        if (depth < range.Least || depth > range.Most)
        {
            throw new InputException(FormattableString.Invariant($"The mount is to be clamped at {depth} mm; it goes from {range.Least} to {range.Most} mm."), "mountDepthMm",
                "Choose a depth that it has, or leave it out: the least that serves is then found.");
        }
    }

    /// <summary>What to clamp, in words; null where there is nothing to set.</summary>
    public static string? Note(CheckRequest request) => request is { Kit.Back.DatumToMountMm: { IsFixed: false } range, Picture.MountDepthMm: { } depth }
        ? $"Clamp the mount {Lengths.Text(depth)} mm behind the film datum; it goes from {Lengths.Text(range.Least)} to {Lengths.Text(range.Most)} mm."
        : null;
}
