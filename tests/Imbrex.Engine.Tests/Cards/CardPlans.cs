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
            new() { Id = "t1", XMm = -28, YMm = -9, TurnDeg = 270, BackTurned = true, Setting = new() { Positions = [28, 9], TurnDeg = 90, BackTurned = true } },
        ],
    };

    /// <summary>Twelve tiles on two axes with much to tell of each: long readings, both seats, body upright and on its side.</summary>
    public static PlanDocument Wordy()
    {
        PlanDocument example = Example("""{ "minMm": -60, "maxMm": 60, "scaleZeroMm": 150.25, "backlashMm": 0.1, "approach": "falling" }, { "minMm": -30, "maxMm": 30, "scaleZeroMm": 125.33, "scaleSign": -1, "backlashMm": 0.2, "approach": "rising" }""");
        TilePart Tile(int i)
        {
            bool over = i >= 6;
            (double x, double y, int turn) = (-50 + 40.11 * (i % 3), i % 6 < 3 ? -9.25 : 9.25, i % 6 < 3 ? 0 : 90);
            return new()
            {
                Id = $"corner-tile-{i + 1}",
                XMm = over ? -x : x,
                YMm = over ? -y : y,
                TurnDeg = (turn + (over ? 180 : 0)) % 360,
                BackTurned = over ? true : null,
                Setting = new() { Positions = [x, y], TurnDeg = turn, BackTurned = over },
            };
        }
        return example with { Name = "Mill race from the upper bridge, second evening", Format = new() { WidthMm = 120, HeightMm = 40 }, Picture = Picture, Tiles = [.. Enumerable.Range(0, 12).Select(Tile)] };
    }

    /// <summary>A rail with two rows, the second with the back over.</summary>
    public static PlanResult Rail(int columns, PicturePart? picture = null, string kit = "\"minMm\": -70, \"maxMm\": 70, \"backlashMm\": 0.1, \"approach\": \"rising\", \"scaleZeroMm\": 100") =>
        Planner.Plan(Kits.Rail(axis: kit).Plan(new PlaneSize(32 + (columns - 1) * 22, 42), 3,
            ("columns", $"{columns}"), ("rows", "2"), ("step-x", "22"), ("step-y", "20")) with
        { Name = "Quarry wall", Picture = picture });
}
