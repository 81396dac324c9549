using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>How long to expose for what moves, and how long the take lasts.</summary>
internal static class ExposureReport
{
    // Seconds of work between two frames; common practice, no source.
    private const double Release = 2;
    private const double Slide = 7;
    private const double TurnCamera = 40;
    private const double TurnBack = 90;

    /// <summary>Seconds for a stand to come to rest after it was touched; common practice, no source.</summary>
    public const double UsualSettle = 5;

    // A merge names at most this many frames for one tile.
    private const int MostFrames = TilePart.MostFiles;

    /// <summary>The report, or null where neither an exposure nor a mover is known.</summary>
    public static ExposurePart? Of(CheckRequest request, KitOptics? optics)
    {
        if (request.Picture is not { } picture || (picture.Seconds is null && picture.Movers is null))
            return null;
        MoverTimePart[] movers = [.. (picture.Movers ?? []).Select(mover => Mover(mover, request, optics))];
        double metered = picture.Seconds ?? 0;
        double frame = Math.Max(metered, movers.Max(mover => mover.VanishSeconds) ?? 0);
        double handling = Handling(request.Tiles, picture.SettleSeconds ?? UsualSettle), take = request.Tiles.Count * (frame + Release) + handling;
        MoverTimePart[] passing = [.. movers.Where(mover => mover.VanishSeconds is not null)];
        int? median = passing.Length > 0 && passing.All(mover => mover.MedianFrames is not null) ? passing.Max(mover => mover.MedianFrames) : null;
        double sun = ExposureTimes.SunPath(take);
        return new()
        {
            Movers = movers,
            FrameSeconds = frame,
            TakeSeconds = take,
            MedianFrames = median,
            MedianTakeSeconds = median is { } frames && picture.Seconds is { } seconds ? request.Tiles.Count * MedianSeconds(frames, seconds, picture) + handling : null,
            SunDeg = sun,
            LowSunDeg = sun is > 0 and < 90 ? ExposureTimes.LowSun(sun) : 90,
        };
    }

    /// <summary>What should be known of it.</summary>
    public static IReadOnlyList<WarningPart> Warnings(ExposurePart? exposure)
    {
        if (exposure is null)
            return [];
        string sun = FormattableString.Invariant($"The take lasts about {FocusWords.Time(exposure.TakeSeconds)}. In sunlight its light drifts: the sun goes {exposure.SunDeg:0.#} degrees along its path, and below {exposure.LowSunDeg:0} degrees of altitude that alone may change the light on level ground by more than a third of a stop.");
        return
        [
            new() { Rule = "exposure", Text = sun },
            .. exposure.Movers.Where(mover => mover.VanishSeconds is null).Select(mover => new WarningPart
            {
                Rule = "exposure",
                Text = $"The {mover.Name} sway about their place: a long exposure blurs them and never makes them vanish; wait for still air or freeze them.",
            }),
        ];
    }

    private static MoverTimePart Mover(MoverPart mover, CheckRequest request, KitOptics? optics)
    {
        PicturePart picture = request.Picture!;
        double? vanish = mover.Sways is true ? null : ExposureTimes.Vanish(mover.WidthMm, mover.SpeedMmPerS, picture.GoneShare ?? ExposureTimes.GoneShare);
        double distance = mover.DistanceMm ?? optics?.ObjectDistance ?? double.PositiveInfinity;
        double? speed = optics is not null && double.IsFinite(distance)
            ? ExposureTimes.ImageSpeed(mover.SpeedMmPerS, optics.Stance.Distance, distance, request.Kit!.Body.PxPerMm())
            : null;
        return new()
        {
            Name = mover.Name,
            VanishSeconds = vanish,
            NeutralDensityStops = vanish is { } wanted && picture.Seconds is { } metered ? Math.Max(0, ExposureTimes.NeutralDensity(wanted, metered)) : null,
            ImageSpeedPxPerS = speed,
            FreezeSeconds = 1 / speed,
            MedianFrames = mover.Sways is not true && mover.PerMinute is { } passes ? Median(passes / 60 * mover.WidthMm / mover.SpeedMmPerS) : null,
        };
    }

    private static int? Median(double covered) => covered < 0.5 ? ExposureTimes.MedianFrames(covered) : null;

    // Frames of one tile wait until what passes has gone by.
    private static double MedianSeconds(int frames, double seconds, PicturePart picture)
    {
        double passing = picture.Movers!.Where(mover => mover.Sways is not true).Max(mover => mover.WidthMm / mover.SpeedMmPerS);
        return Math.Min(frames, MostFrames) * Math.Max(seconds + Release, passing);
    }

    private static double Handling(IReadOnlyList<PlacedTile> tiles, double settle) => tiles.Zip(tiles.Skip(1), (from, to) => Between(from.Setting, to.Setting) + settle).Sum();

    private static double Between(Setting? from, Setting? to) => Slide
        + (from?.BackTurned != to?.BackTurned ? TurnBack : 0)
        + (from?.CameraTurn != to?.CameraTurn ? TurnCamera : 0);
}
