using System.CommandLine;
using Imbrex.Cli.Arguments;
using Imbrex.Engine.Documents;

namespace Imbrex.Cli.Commands;

/// <summary>What belongs to one picture: focus, movements, exposure, what moves. It goes into the plan.</summary>
internal sealed class PictureOptions
{
    private readonly Option<double?> _aperture = Number("--aperture", "N", "f-number of this picture, such as 16");
    private readonly Option<double?> _distance = Distance("--focus-distance", "Distance of what is focused on, from the lens, such as 5m, 45cm or infinity");
    private readonly Option<double?> _magnification = CommonOptions.NotNegative("--magnification", "M", "Instead of the distance: size in the image by size of the thing; 0 for infinity");
    private readonly Option<double?> _rise = Any("--rise", "MM", "Rise of the lens; negative for fall");
    private readonly Option<double?> _shift = Any("--shift", "MM", "Shift of the lens to the photographer's right");
    private readonly Option<double?> _tilt = Any("--tilt", "DEG", "Tilt of the lens; above 0 its top leans towards the scene");
    private readonly Option<double?> _swing = Any("--swing", "DEG", "Swing of the lens; above 0 it looks to the right");
    private readonly Option<double?> _near = Distance("--near", "Nearest thing that must be sharp, such as 3m");
    private readonly Option<double?> _far = Distance("--far", "Farthest thing that must be sharp; without it, infinity");
    private readonly Option<double?> _circle = Number("--circle-of-confusion", "MM", "Largest blur on the sensor that passes for sharp; without it, two pixels");
    private readonly Option<double?> _mountDepth = CommonOptions.NotNegative("--mount-depth", "MM", "Where a mount that slides is clamped, from the film datum to the mount; without it, the least depth that serves is found");
    private readonly Option<double?> _settle = CommonOptions.NotNegative("--settle", "SECONDS", "How long the camera is left to come to rest before each exposure; without it, 5");
    private readonly Option<double?> _seconds = new("--seconds")
    {
        HelpName = "S",
        Description = "Exposure as metered, without filters, such as 0.5 or 1/15",
        CustomParser = result => SecondsText.Parse(result.Tokens[0].Value, "--seconds"),
    };
    private readonly Option<double?> _iso = Number("--iso", "ISO", "Sensitivity");
    private readonly Option<string[]> _filters = new("--filter") { HelpName = "TEXT", Description = "A filter on the lens; may be repeated" };
    private readonly Option<MoverPart[]> _movers = new("--mover")
    {
        HelpName = "WHAT",
        Description = "What moves: walkers, cyclists, traffic, water, leaves, or width and speed in m and m/s (0.5@1.4); then ,at=20m and ,per-minute=6; may be repeated",
        Arity = ArgumentArity.OneOrMore,
        CustomParser = result => [.. result.Tokens.Select(token => MoverText.Parse(token.Value, "--mover"))],
    };
    private readonly Option<double?> _share = Number("--gone-share", "Q", "Share of an exposure up to which what passes counts as gone; without it, 0.02");
    private readonly Option<double?> _least = Number("--least-light", "PART", "Light that mount and back must leave at the edge of what is used of a tile; without it, 0.7");
    private readonly Option<double?> _dark = CommonOptions.NotNegative("--allow-dark-corners", "PERCENT", "Part of the format that may lie outside the circle of light");

    public void AddTo(Command command)
    {
        foreach (Option option in new Option[] { _aperture, _distance, _magnification, _rise, _shift, _tilt, _swing, _mountDepth, _settle, _near, _far, _circle, _seconds, _iso, _filters, _movers, _share, _least, _dark })
            command.Add(option);
    }

    /// <summary>A picture with what the command line says of it; null where neither says anything.</summary>
    public PicturePart? Over(ParseResult given, PicturePart? planned)
    {
        PicturePart start = planned ?? new();
        MovementsPart moved = start.Movements ?? new();
        moved = moved with
        {
            RiseMm = given.GetValue(_rise) ?? moved.RiseMm,
            ShiftMm = given.GetValue(_shift) ?? moved.ShiftMm,
            TiltDeg = given.GetValue(_tilt) ?? moved.TiltDeg,
            SwingDeg = given.GetValue(_swing) ?? moved.SwingDeg,
        };
        PicturePart picture = Focused(given, start) with
        {
            Movements = moved == new MovementsPart() ? null : moved,
            Aperture = given.GetValue(_aperture) ?? start.Aperture,
            MountDepthMm = given.GetValue(_mountDepth) ?? start.MountDepthMm,
            SettleSeconds = given.GetValue(_settle) ?? start.SettleSeconds,
            NearMm = given.GetValue(_near) ?? start.NearMm,
            FarMm = given.GetValue(_far) is { } far ? Finite(far) : start.FarMm,
            CircleOfConfusionMm = given.GetValue(_circle) ?? start.CircleOfConfusionMm,
            Seconds = given.GetValue(_seconds) ?? start.Seconds,
            Iso = given.GetValue(_iso) ?? start.Iso,
            Filters = given.GetValue(_filters) is { Length: > 0 } filters ? filters : start.Filters,
            Movers = given.GetValue(_movers) is { Length: > 0 } movers ? movers : start.Movers,
            GoneShare = given.GetValue(_share) ?? start.GoneShare,
            LeastLight = given.GetValue(_least) ?? start.LeastLight,
            DarkCornersPercent = given.GetValue(_dark) ?? start.DarkCornersPercent,
        };
        if (picture == new PicturePart())
            return planned;
        picture.ThrowIfFaulty("command line");
        return picture;
    }

    // A distance and a magnification say the same thing: the newer word replaces the older.
    private PicturePart Focused(ParseResult given, PicturePart start)
    {
        (double? distance, double? magnification) = (given.GetValue(_distance), given.GetValue(_magnification));
        if (distance is null && magnification is null)
            return start;
        bool infinity = distance is { } d && double.IsPositiveInfinity(d);
        return start with { FocusDistanceMm = infinity ? null : distance, Magnification = infinity ? magnification ?? 0 : magnification };
    }

    private static double? Finite(double value) => double.IsFinite(value) ? value : null;

    private static Option<double?> Number(string name, string helpName, string description) => new(name)
    {
        HelpName = helpName,
        Description = description,
        CustomParser = result => NumberText.Positive(result.Tokens[0].Value, name),
    };

    private static Option<double?> Any(string name, string helpName, string description) => new(name)
    {
        HelpName = helpName,
        Description = description,
        CustomParser = result => NumberText.Finite(result.Tokens[0].Value, name),
    };

    private static Option<double?> Distance(string name, string description) => new(name)
    {
        HelpName = "DISTANCE",
        Description = description,
        CustomParser = result => DistanceText.Parse(result.Tokens[0].Value, name),
    };
}
