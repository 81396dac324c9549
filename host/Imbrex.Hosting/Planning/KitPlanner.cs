using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Hosting.Planning;

/// <summary>What to plan, in the words of a person: names and files instead of parts.</summary>
public sealed record PlanningWish
{
    /// <summary>Name of a layout, or path of a layout script.</summary>
    public required string Layout { get; init; }

    /// <summary>The kit, or null where only a sensor is known.</summary>
    public KitDocument? Kit { get; init; }

    public SensorPart? Sensor { get; init; }

    /// <summary>The rectangle to fill, mm.</summary>
    public required PlaneSize Format { get; init; }

    /// <summary>Where given, the format tells a shape only: the largest of it is sought that the layout fills in so many frames.</summary>
    public int? MostFrames { get; init; }

    public IReadOnlyDictionary<string, string>? Parameters { get; init; }

    /// <summary>Overrules the kit, mm.</summary>
    public double? Overlap { get; init; }

    /// <summary>Overrules the back, mm.</summary>
    public double? Tolerance { get; init; }

    /// <summary>Overrules the back, degrees.</summary>
    public double? AngularTolerance { get; init; }

    public string? Name { get; init; }

    /// <summary>Focus, movements and exposure; null for infinity without movements.</summary>
    public PicturePart? Picture { get; init; }

    /// <summary>What the user should know of how the wish came about.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];
}

/// <summary>Finds the parts that a wish names and has the engine plan and judge.</summary>
/// <param name="catalogue">Layouts and adapters at hand.</param>
public sealed class KitPlanner(Catalogue catalogue)
{
    /// <summary>Plans; a refusal is a verdict, not an exception.</summary>
    /// <param name="wish">What to plan.</param>
    /// <param name="layout">What <see cref="Open(PlanningWish)"/> has opened for this wish or for one that differs in its parameters only; null to open it now.</param>
    /// <exception cref="InputException">A part is not known, or a value makes no sense.</exception>
    public PlanResult Plan(PlanningWish wish, IMosaicLayout? layout = null) => Watched(wish.Kit, () => PlanNow(wish, layout));

    private PlanResult PlanNow(PlanningWish wish, IMosaicLayout? layout)
    {
        (KitDocument? kit, BuiltBack? back) = Back(wish.Kit);
        wish = wish with { Kit = kit };
        return wish.MostFrames is { } frames
            ? LargestInFrames.Find(format => Plan(wish with { Notes = [.. wish.Notes, Largest(format, frames)] }, format, back, null), SensorOf(wish), wish.Format, frames)
            : Plan(wish, wish.Format, back, layout);
    }

    /// <summary>Finds the layout that a wish names; a script is compiled and asked what it is.</summary>
    /// <exception cref="InputException">It is not known, or the script is faulty.</exception>
    public IMosaicLayout Open(PlanningWish wish) => Watched(wish.Kit, () => Open(wish, wish.Format, Back(wish.Kit).Back?.Back));

    // A plugin's back is asked thousands of times, so a call of it is not put on another thread: the planning is, and left behind should a call hang.
    private T Watched<T>(KitDocument? kit, Func<T> work)
    {
        catalogue.Renew();
        return kit is not null && catalogue.Adapter(kit.Back.Adapter) is GuardedAdapter adapter ? adapter.Watch(work) : work();
    }

    private static ISensor SensorOf(PlanningWish wish) =>
        (ISensor?)wish.Kit?.Body ?? wish.Sensor ?? throw new InputException("There is neither a kit nor a sensor.", "--kit", "Give a kit file, or --sensor 36x24/6000x4000.");

    private static string Largest(PlaneSize format, int frames) =>
        FormattableString.Invariant($"{format.Width:0.##} x {format.Height:0.##} mm is the largest format of this shape found that the layout fills in {frames} frames.");

    private IMosaicLayout Open(PlanningWish wish, PlaneSize format, IBack? back)
    {
        PlaneSize sensor = SensorOf(wish).Size();
        return catalogue.Layout(wish.Layout, new()
        {
            Sensor = sensor,
            Format = format,
            Overlap = wish.Overlap ?? wish.Kit?.OverlapMm ?? 0.1 * sensor.ShortSide,
            PositionTolerance = wish.Tolerance is { } both ? both : back?.PositionTolerance ?? Margins.Unknown.Position,
            AngularTolerance = wish.AngularTolerance ?? back?.AngularTolerance ?? Margins.Unknown.Angle,
            Limits = back?.Limits ?? BackLimits.Unlimited,
        });
    }

    private PlanResult Plan(PlanningWish wish, PlaneSize format, BuiltBack? back, IMosaicLayout? opened)
    {
        IMosaicLayout layout = opened ?? Open(wish, format, back?.Back);
        return Planner.Plan(new()
        {
            Layout = layout,
            Parameters = wish.Parameters,
            ScriptSha256 = (layout as ScriptLayout)?.Sha256,
            Kit = wish.Kit,
            Sensor = wish.Kit is null ? wish.Sensor : null,
            Back = back,
            Format = format,
            Overlap = wish.Overlap,
            Tolerance = wish.Tolerance,
            AngularTolerance = wish.AngularTolerance,
            Name = wish.Name,
            Picture = wish.Picture,
            Notes = wish.Notes,
        });
    }

    /// <summary>Judges a plan that exists.</summary>
    /// <param name="plan">By hand, or by the planner.</param>
    /// <param name="overlap">Overrules the plan, mm.</param>
    /// <param name="tolerance">Overrules the back, mm.</param>
    /// <param name="angularTolerance">Overrules the back, degrees.</param>
    /// <exception cref="InputException">The kit's adapter is not known, or a value makes no sense.</exception>
    public VerdictDocument Judge(PlanDocument plan, double? overlap, double? tolerance, double? angularTolerance) =>
        Watched(plan.Kit, () => JudgeNow(plan, overlap, tolerance, angularTolerance));

    private VerdictDocument JudgeNow(PlanDocument plan, double? overlap, double? tolerance, double? angularTolerance)
    {
        BuiltBack? built = Back(plan.Kit).Back;
        CheckRequest request = CheckRequest.For(plan, built?.Back, overlap, tolerance);
        if (plan.Kit is { } kit && catalogue.Adapter(kit.Back.Adapter) is ScriptAdapter script && Changed(kit, script) is { } changed)
            request = request with { Notes = [.. request.Notes, changed] };
        return AcceptanceCheck.Judge(angularTolerance is { } angle ? request with { Margins = request.Margins with { Angle = angle } } : request);
    }

    // Where the adapter is a script, the plan will say which.
    private (KitDocument? Kit, BuiltBack? Back) Back(KitDocument? kit)
    {
        if (kit is null)
            return default;
        IAdapterGeometry adapter = catalogue.Adapter(kit.Back.Adapter);
        BuiltBack built = BackBuilder.Build(kit, adapter);
        if (adapter is not ScriptAdapter script)
            return (kit, built);
        KitDocument known = kit with { Back = kit.Back with { AdapterSha256 = script.Sha256 } };
        return (known, Changed(kit, script) is { } changed ? built with { Notes = [.. built.Notes, changed] } : built);
    }

    private static string? Changed(KitDocument kit, ScriptAdapter script) => kit.Back.AdapterSha256 is { } known && known != script.Sha256
        ? $"The adapter script {script.Path} is not the one that this was made with: its SHA-256 is {script.Sha256}, and back.adapterSha256 says {known}."
        : null;
}
