using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Tests.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Tests.Cards;

/// <summary>Invented plans to print cards of.</summary>
internal static class CardPlans
{
    public static readonly PicturePart Picture = new()
    {
        FocusDistanceMm = 8000,
        Movements = new() { RiseMm = 12, ShiftMm = -5, TiltDeg = 1.5 },
        Aperture = 22,
        Seconds = 0.125,
        Iso = 100,
        Filters = ["yellow", "graduated 2 stops"],
        Movers = [new() { Name = "walkers", WidthMm = 500, SpeedMmPerS = 1400, DistanceMm = 20000 }],
    };

    /// <summary>The design's example: setting (28, 9), turn 90, back over.</summary>
    public static PlanDocument Example(string axes = """{ "minMm": -40, "maxMm": 40, "scaleZeroMm": 50, "scaleSign": -1 }, { "minMm": -20, "maxMm": 20, "scaleZeroMm": 25 }""") => new()
    {
        Schema = PlanDocument.SchemaName,
        Kit = Kits.Cross($$"""
            "axes": [ {{axes}} ], "turns": [ { "deg": 0 }, { "deg": 90 } ], "seats": [ { "state": "upright" }, { "state": "turned" } ]
            """),
        Format = new() { WidthMm = 90, HeightMm = 40 },
        Tiles =
        [
            new() { Id = "t1", XMm = -28, YMm = -9, TurnDeg = 270, BackTurned = true, Setting = new() { AxesMm = [28, 9], TurnDeg = 90, BackTurned = true } },
        ],
    };

    /// <summary>A rail with two rows, the second with the back over.</summary>
    public static PlanResult Rail(int columns, PicturePart? picture = null, string kit = "\"minMm\": -70, \"maxMm\": 70, \"backlashMm\": 0.1, \"approach\": \"rising\", \"scaleZeroMm\": 100") =>
        Planner.Plan(Kits.Rail(axis: kit).Plan(new PlaneSize(32 + (columns - 1) * 22, 42), 3,
            ("columns", $"{columns}"), ("rows", "2"), ("step-x", "22"), ("step-y", "20")) with
        { Name = "Quarry wall", Picture = picture });
}
