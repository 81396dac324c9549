using Imbrex.Engine.Documents;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>What is to be judged.</summary>
public sealed record CheckRequest
{
    /// <summary>The tiles at their final poses.</summary>
    public required IReadOnlyList<PlacedTile> Tiles { get; init; }

    /// <summary>Sensor with the body upright, mm.</summary>
    public required PlaneSize Sensor { get; init; }

    /// <summary>The rectangle to fill, mm.</summary>
    public required PlaneSize Format { get; init; }

    /// <summary>Required overlap d, mm.</summary>
    public required double Overlap { get; init; }

    /// <summary>What may go wrong when the back is set.</summary>
    public Margins Margins { get; init; }

    /// <summary>The back that must reach the tiles, or null where only a sensor is known: reach is then not judged.</summary>
    public IBack? Back { get; init; }

    /// <summary>The kit, for what light and focus allow; null where only a sensor is known.</summary>
    public KitDocument? Kit { get; init; }

    /// <summary>Focus, movements and exposure of this picture; null for infinity without movements.</summary>
    public PicturePart? Picture { get; init; }

    /// <summary>What the user should know of how the request came about.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];

    /// <summary>The request for a plan.</summary>
    /// <param name="plan">A plan, by hand or by the planner.</param>
    /// <param name="back">The back of its kit, or null for none.</param>
    /// <param name="overlap">Overrules the plan's overlap, mm.</param>
    /// <param name="tolerance">Overrules the back's positional tolerance, mm.</param>
    public static CheckRequest For(PlanDocument plan, IBack? back, double? overlap = null, double? tolerance = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        Margins margins = back is null ? Margins.Unknown : new(back.PositionTolerance, back.AngularTolerance);
        return new()
        {
            Tiles = PlacedTile.Of(plan),
            Sensor = plan.TheSensor().Size(),
            Format = plan.Format.ToSize(),
            Overlap = overlap ?? plan.TheOverlap(),
            Margins = tolerance is { } t ? margins with { Position = t } : margins,
            Back = back,
            Kit = plan.Kit,
            Picture = plan.Picture,
        };
    }

    /// <summary>The request that a plan's verdict answers, for drawing it: reach is told by the verdict, so that no back is needed.</summary>
    public static CheckRequest For(PlanDocument plan, VerdictDocument verdict)
    {
        ArgumentNullException.ThrowIfNull(verdict);
        return For(plan, back: null) with { Overlap = verdict.OverlapMm, Margins = verdict.Margins() };
    }
}
