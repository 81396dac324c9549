using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// What the openings before the sensor leave of one tile's light, by the plan: the part of the frame with enough of it, and the loss inside. Both go where
/// the body goes; that the tile stood a little beside its place moves them over the frame by a small part of that, which is left out.
/// </summary>
/// <param name="optics">The lens, set up for the picture.</param>
/// <param name="sensor">The sensor.</param>
/// <param name="tile">The tile.</param>
/// <param name="canvas">The canvas of the format.</param>
internal sealed class ClippedTile(KitOptics optics, ISensor sensor, TilePart tile, Canvas canvas)
{
    /// <summary>The loss goes from nothing to all over the width of the cone of light, which is cut into so many cells.</summary>
    private const int CellsAcrossCone = 16;

    /// <summary>Smallest and largest side of a cell, px.</summary>
    private const int SmallestCell = 2, LargestCell = 32;

    private readonly LightStop[] _stops = optics.Stops(tile.ToPose(), tile.BackTurned ?? tile.Setting?.BackTurned ?? false);

    /// <summary>The light of a tile; null where no lens, aperture or opening is known, or nothing is clipped.</summary>
    public static ClippedTile? Of(KitOptics? optics, ISensor sensor, TilePart tile, Canvas canvas)
    {
        if (optics?.View is not { } view)
            return null;
        var light = new ClippedTile(optics, sensor, tile, canvas);
        return light._stops.Length == 0 || light.Corners().All(corner => view.Fraction(light._stops, corner) >= 1) ? null : light;
    }

    /// <summary>The usable part of the frame; null where that is all of it, or nothing: then there is nothing better to show.</summary>
    public UsablePart? Usable() => UsableRegion.Find(optics.View!.Value, _stops, Corners(), optics.LeastLight) is { Count: > 2 } region
        ? new([.. region.Select(InFrame)])
        : null;

    /// <summary>
    /// Makes good what is lost inside the usable part, and as much as on its rim beyond; null where the picture's aperture is not known, on which the loss depends.
    /// </summary>
    public SensorField? Restored()
    {
        if (optics.Picture.Aperture is null)
            return null;
        PupilView view = optics.View!.Value;
        double cone = 2 * _stops.Where(stop => stop.ToSensor > 0).Select(view.ConeRadius).DefaultIfEmpty().Min() * canvas.PxPerMm;
        int side = (int)Math.Clamp(cone / CellsAcrossCone, SmallestCell, LargestCell);
        (int columns, int rows) = ((sensor.WidthPx + side - 1) / side, (sensor.HeightPx + side - 1) / side);
        var factors = new double[columns * rows];
        for (int i = 0; i < factors.Length; i++)
        {
            double x = Middle(i % columns, side, sensor.WidthPx), y = Middle(i / columns, side, sensor.HeightPx);
            factors[i] = 1 / Math.Max(view.Fraction(_stops, OnPlane(new(x, y))), optics.LeastLight);
        }
        return new(new([factors, factors, factors], columns, rows, side, sensor.WidthPx, sensor.HeightPx), Turns.FromDegrees(tile.TurnDeg));
    }

    // The middle of a cell, from the sensor's centre; the last cell may be narrower.
    private static double Middle(int cell, int side, int size) => (cell * side + Math.Min((cell + 1) * side, size) - size) / 2.0;

    private PlanePoint[] Corners()
    {
        (double x, double y) = (sensor.WidthPx / 2.0, sensor.HeightPx / 2.0);
        return [OnPlane(new(-x, -y)), OnPlane(new(x, -y)), OnPlane(new(x, y)), OnPlane(new(-x, y))];
    }

    // From an offset from the sensor's centre, px, the body upright, to the image plane: the recorded picture is turned by half a turn against it.
    private PlanePoint OnPlane(PlanePoint own) => tile.ToPose().Centre - 1 / canvas.PxPerMm * own.Rotated(tile.ToPose().TotalRotation);

    private PlanePoint InFrame(PlanePoint onPlane) => (canvas.PxPerMm * (tile.ToPose().Centre - onPlane)).Rotated(-(tile.RotationDeg ?? 0));
}
