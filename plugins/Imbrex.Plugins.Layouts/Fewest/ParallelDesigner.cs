using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using static System.FormattableString;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>Designs of level and upright tiles, for backs that move the sensor along x and y.</summary>
/// <param name="request">What is asked for.</param>
/// <param name="turns">The turns of the body that may be used.</param>
internal sealed class ParallelDesigner(LayoutRequest request, Func<Turn, bool> turns) : IDesigner
{
    // Of more tiles than these a search finds little that a grid does not, and takes long.
    private const int MostTiles = 200;

    // Room for skylines: columns, tiles and breadth multiply to what one search may hold and time it may take.
    private const double SearchRoom = 1.5e7;
    private const int LeastBreadth = 20;
    private const int GreatestBreadth = 20_000;

    /// <inheritdoc/>
    public Design Find(double overlap)
    {
        IReadOnlyList<Station> stations = Stations(overlap);
        if (stations.Count == 0)
            throw NothingHeld(overlap);
        PlaneSize area = Area(overlap);
        int atLeast = FrameBound.Of(area, [.. stations.Select(station => station.Held)]);
        if (atLeast > MostTiles)
            throw TooMany(atLeast);
        var search = new CoverSearch(area, stations);
        Cover best = search.Find(2 * MostTiles, LeastBreadth);
        if (best.Tiles is null && !best.IsExhaustive)
            best = search.Find(2 * MostTiles, Breadth(search, atLeast));
        if (best.Tiles is not { } tiles)
            throw NotReached(area, stations, overlap);
        while (tiles.Count > atLeast)
        {
            Cover fewer = search.Find(tiles.Count - 1, Breadth(search, tiles.Count));
            if (fewer.Tiles is null)
                return Designed(tiles, fewer.IsExhaustive);
            tiles = fewer.Tiles;
        }
        return Designed(tiles, true);

        // Tiles that stand askew hold more than the search counts on, so that nothing is proven of them.
        Design Designed(IReadOnlyList<Laid> laid, bool isFewest)
        {
            bool isWhole = stations.All(station => station.IsWhole);
            return new([.. Grids.Of(request, stations, laid.Count), InRows(Settling.Settle(area, laid)), InRows(laid)], isFewest && isWhole, isWhole ? atLeast : 1);
        }
    }

    /// <inheritdoc/>
    public IReadOnlyList<Tile>? Cover(double overlap, int most)
    {
        IReadOnlyList<Station> stations = Stations(overlap);
        PlaneSize area = Area(overlap);
        if (stations.Count == 0 || area.ShortSide < 0)
            return null;
        var search = new CoverSearch(area, stations);
        return search.Find(most, Math.Max(LeastBreadth, Breadth(search, most) / 8)).Tiles is { } tiles ? InRows(Settling.Settle(area, tiles)) : null;
    }

    // The middles of windows that tiles must hold.
    private PlaneSize Area(double overlap) => new(request.Format.Width - overlap, request.Format.Height - overlap);

    // The stations whose tiles still hold something.
    private IReadOnlyList<Station> Stations(double overlap) => [.. Fewest.Stations.Of(request, overlap).Where(station => station.Held.ShortSide > 1e-6 && turns(station.Turn))];

    private static IReadOnlyList<Tile> InRows(IReadOnlyList<Laid> laid) => [.. laid.OrderBy(tile => tile.Y).ThenBy(tile => tile.X).Select(tile => tile.ToTile())];

    private static int Breadth(CoverSearch search, int tiles) => (int)Math.Clamp(SearchRoom / ((double)search.Columns * tiles), LeastBreadth, GreatestBreadth);

    private static RefusalException TooMany(int atLeast) => new(
        Invariant($"At least {atLeast} frames would be needed; the fewest are sought among up to {MostTiles}."), "format", "Use regular-grid, which needs few more of so many.");

    private RefusalException NothingHeld(double overlap)
    {
        PlaneSize tile = request.UsableTile(Turn.None);
        return tile.ShortSide <= 0 ? Refused.NothingUsable(tile.ShortSide)
            : tile.ShortSide <= overlap ? Refused.TileTooShort(tile.ShortSide, overlap, "along its short side")
            : Refused.TurnNotOffered([Turn.None, Turn.Quarter], request.Limits.Turns);
    }

    private RefusalException NotReached(PlaneSize area, IReadOnlyList<Station> stations, double overlap)
    {
        double left = stations.Min(station => station.X.From - station.Held.Width / 2), right = stations.Max(station => station.X.To + station.Held.Width / 2);
        double top = stations.Min(station => station.Y.From - station.Held.Height / 2), bottom = stations.Max(station => station.Y.To + station.Held.Height / 2);
        (double wide, double high) = (2 * Math.Min(-left, right) + overlap, 2 * Math.Min(-top, bottom) + overlap);
        bool tooShort = wide < area.Width + overlap || high < area.Height + overlap;
        return new(
            tooShort ? Invariant($"Within the back's reach the outermost tiles span {Math.Max(0, wide):0.##} x {Math.Max(0, high):0.##} mm round the middle, and the format is {request.Format.Width:0.##} x {request.Format.Height:0.##} mm.")
                : Invariant($"The back's stops lie too far apart for an overlap of {overlap:0.##} mm everywhere."),
            "back",
            tooShort ? "Ask for a smaller format, or turn the back over if the camera can." : "Ask for less overlap or file more stops.");
    }
}
