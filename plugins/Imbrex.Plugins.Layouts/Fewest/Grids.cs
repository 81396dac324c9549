using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>Regular grids of just so many tiles: as good as anything, where they do, and the least to think about.</summary>
internal static class Grids
{
    public static IEnumerable<IReadOnlyList<Tile>> Of(LayoutRequest request, IReadOnlyList<Station> stations, int count)
    {
        foreach (IGrouping<bool, Station> alike in stations.GroupBy(station => station.Turn is Turn.Quarter or Turn.ThreeQuarters))
        {
            PlaneSize tile = request.UsableTile(alike.First().Turn);
            foreach (int rows in Enumerable.Range(1, count).Where(rows => count % rows == 0))
            {
                int columns = count / rows;
                (double stepX, double stepY) = (EvenSpread.Step(request.Format.Width, tile.Width, columns), EvenSpread.Step(request.Format.Height, tile.Height, rows));
                if (Overlaps(columns, tile.Width, stepX, request.Format.Width) && Overlaps(rows, tile.Height, stepY, request.Format.Height)
                    && Laid([.. alike], columns, stepX, rows, stepY) is { } grid)
                {
                    yield return grid;
                }
            }
        }

        bool Overlaps(int tiles, double side, double step, double length) => tiles == 1 ? side >= length : side - step >= request.Overlap - 1e-9;
    }

    private static IReadOnlyList<Tile>? Laid(IReadOnlyList<Station> stations, int columns, double stepX, int rows, double stepY)
    {
        var tiles = new List<Tile>();
        foreach (double y in EvenSpread.Centred(rows, stepY))
        {
            foreach (double x in EvenSpread.Centred(columns, stepX))
            {
                if (stations.FirstOrDefault(station => station.X.Holds(x) && station.Y.Holds(y)) is not { } station)
                    return null;
                tiles.Add(new(new(new(x, y), station.Turn)));
            }
        }
        return tiles;
    }
}
