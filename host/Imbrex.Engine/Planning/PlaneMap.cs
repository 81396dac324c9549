using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>A value for each cell of a raster over the format, measured at the cell's middle.</summary>
/// <param name="Format">The rectangle that the cells fill, centred on the origin, mm.</param>
/// <param name="Columns">Cells across.</param>
/// <param name="Rows">Cells down.</param>
/// <param name="Values">Row by row from the top left corner seen from behind; not a number where there is nothing to tell.</param>
public sealed record PlaneMap(PlaneSize Format, int Columns, int Rows, IReadOnlyList<double> Values)
{
    /// <summary>
    /// How deep the tiles lie over each other: at each point the side of the largest window around it that lies wholly in one usable tile, mm; 0 where no
    /// tile shows the point. The overlap rule holds exactly where this is at least the overlap asked for, half of that away from the format's edge.
    /// </summary>
    /// <param name="request">A judged request.</param>
    /// <param name="columns">Cells across; their height follows the format.</param>
    public static PlaneMap OverlapDepth(CheckRequest request, int columns)
    {
        ArgumentNullException.ThrowIfNull(request);
        TileRectangle[] tiles = [.. UsableTiles.For(request).Of(request.Tiles).Where(tile => tile.Size.ShortSide > 0)];
        return Fill(request.Format, columns, point =>
        {
            double window = 0;
            foreach (TileRectangle tile in tiles)
                window = Math.Max(window, tile.WindowAt(point));
            return window;
        });
    }

    /// <summary>
    /// The light that is left: what the openings on the way leave of the exit pupil in the tile that sees most of it, by the natural falloff of a small pupil;
    /// 1 on the lens axis, 0 outside the circle of light, not a number where no tile shows the point.
    /// </summary>
    /// <param name="request">A judged request.</param>
    /// <param name="columns">Cells across; their height follows the format.</param>
    /// <returns>The map, or null where the kit has no lens.</returns>
    public static PlaneMap? LightLeft(CheckRequest request, int columns)
    {
        ArgumentNullException.ThrowIfNull(request);
        if (KitOptics.Of(request.Kit, request.Picture) is not { } optics)
            return null;
        (TileRectangle Whole, LightStop[] Stops)[] tiles =
            [.. request.Tiles.Select(tile => (TileRectangle.Usable(tile, request.Sensor, Margins.None), optics.Stops(tile.Pose, tile.Setting?.BackTurned is true)))];
        (LightCircle? circle, PupilView? view) = (optics.Light, optics.View);
        return Fill(request.Format, columns, point =>
        {
            double seen = double.NaN;
            foreach ((TileRectangle whole, LightStop[] stops) in tiles)
            {
                if (whole.Holds(point) && !(seen >= 1))
                    seen = Math.Max(double.IsNaN(seen) ? 0 : seen, view?.Fraction(stops, point) ?? 1);
            }
            return circle?.Holds(point) is false && !double.IsNaN(seen) ? 0 : seen * optics.Stance.SmallPupilLight(point);
        });
    }

    private static PlaneMap Fill(PlaneSize format, int columns, Func<PlanePoint, double> value)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        int rows = Math.Clamp((int)Math.Round(columns * format.Height / format.Width), 1, 4 * columns);
        double[] values = new double[columns * rows];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
                values[row * columns + column] = value(new(((column + 0.5) / columns - 0.5) * format.Width, ((row + 0.5) / rows - 0.5) * format.Height));
        }
        return new(format, columns, rows, values);
    }
}
