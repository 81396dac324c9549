using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Tests.Simulation;

/// <summary>Small plans for the simulated camera.</summary>
internal static class Plans
{
    public static PlanDocument Of(SensorPart sensor, double widthMm, double heightMm, params IReadOnlyList<TilePart> tiles) => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = sensor,
        Format = new() { WidthMm = widthMm, HeightMm = heightMm },
        Tiles = tiles,
    };

    public static TilePart Tile(string id, double x, double y, int turn = 0, double rotation = 0) =>
        new() { Id = id, XMm = x, YMm = y, TurnDeg = turn, RotationDeg = rotation };

    public static SensorPart Sensor(double widthMm, double heightMm, int widthPx, int heightPx) =>
        new() { WidthMm = widthMm, HeightMm = heightMm, WidthPx = widthPx, HeightPx = heightPx };
}
