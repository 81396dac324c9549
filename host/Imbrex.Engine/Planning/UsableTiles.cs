using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// What is usable of each tile: its rectangle less what the back may miss by, cut to the part that the openings on the way leave enough light.
/// </summary>
internal sealed class UsableTiles(PlaneSize sensor, Margins margins, KitOptics? optics)
{
    public static UsableTiles For(CheckRequest request) => new(request.Sensor, request.Margins, KitOptics.Of(request.Kit, request.Picture));

    /// <summary>The lens set up for the picture, or null where the kit has none.</summary>
    public KitOptics? Optics => optics;

    public UsableTiles With(Margins others) => new(sensor, others, optics);

    public UsableTiles At(double aperture) => new(sensor, margins, optics?.At(aperture));

    public TileRectangle Of(PlacedTile tile)
    {
        TileRectangle whole = TileRectangle.Usable(tile, sensor, margins);
        if (optics?.View is not { } view || whole.Size.ShortSide <= 0)
            return whole;
        LightStop[] stops = optics.Stops(tile.Pose, tile.Setting?.BackTurned is true);
        if (stops.Length == 0)
            return whole;

        // What the body misses by, its openings miss by too, and the region they leave by 1 / (1 - t/Z) of that: a point must lie as deep inside.
        double magnified = stops.Max(stop => stop.MovesWithBody ? 1 / (1 - stop.ToSensor / view.Distance) : 0);
        (double sin, double cos) = Angles.SinCosDegrees(whole.Rotation);
        IReadOnlyList<PlanePoint> reached = whole.Grown(magnified * margins.Position.Worst * (Math.Abs(sin) + Math.Abs(cos))).Corners();
        return UsableRegion.Find(view, stops, reached, optics.LeastLight) is { } region
            ? whole.Clipped(HalfPlane.Of(region).Select(side => side.Moved(-magnified * (margins.Position.X * Math.Abs(side.X) + margins.Position.Y * Math.Abs(side.Y)))))
            : whole;
    }

    public TileRectangle[] Of(IReadOnlyList<PlacedTile> tiles) => [.. tiles.Select(Of)];
}
