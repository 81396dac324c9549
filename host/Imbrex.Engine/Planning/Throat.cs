using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>Whether it is for want of light through mount and back that tiles do not fill a format, and at which aperture they would.</summary>
internal static class Throat
{
    // Full and third stops as engraved: common practice, no source.
    private static readonly double[] Engraved =
        [1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9, 10, 11, 13, 14, 16, 18, 20, 22, 25, 29, 32, 36, 40, 45, 51, 57, 64, 72, 81, 90, 102, 114, 128];

    // For more tiles than these the stop that would do takes too long to find.
    private const int MostTiles = 2000;

    /// <summary>Judges tiles that do not fill the format: a failure where the whole tiles would.</summary>
    public static Judgement Judge(CheckRequest request, UsableTiles tiles, IReadOnlyList<TileRectangle> usable, IReadOnlyList<Polygon> gaps)
    {
        TileRectangle[] whole = [.. request.Tiles.Select(tile => TileRectangle.Usable(tile, request.Sensor, request.Margins))];
        bool cut = usable.Zip(whole).Any(pair => pair.First != pair.Second);
        if (!cut || tiles.Optics is not { View: { } view } optics || !Fill(request, whole))
            return Judgement.Skipped(LightRule.Name, "");
        bool covered = gaps.Count == 0;
        Seen worst = covered
            ? Worst(request, optics, view, whole, WindowRule.Broken(request.Format, usable, new(request.Overlap, request.Overlap)), request.Overlap)
            : Worst(request, optics, view, whole, gaps, 0);
        string light = worst.Fraction <= 1e-6 ? "it is black there" : FormattableString.Invariant($"{100 * worst.Fraction:0.#} % of the exit pupil is seen there");
        string asked = FormattableString.Invariant($"{100 * optics.LeastLight:0.#} % must be") + (worst.Fraction >= optics.LeastLight ? " however the back misses" : "");
        FailurePart failure = new()
        {
            Rule = LightRule.Name,
            Tiles = [worst.Tile],
            Text = $"Mount or back clip the light of tile {worst.Tile} at ({Lengths.Text(worst.Point.X)}, {Lengths.Text(worst.Point.Y)}) mm: {light} at f/{Number(optics.Aperture!.Value)}, and {asked}; without what is too dark the tiles {(covered ? "do not overlap enough" : "do not fill the format")}.",
        };
        return Judgement.Of(LightRule.Name, "", [failure]) with { Remedies = [.. Remedies(request, tiles, optics, worst)] };
    }

    private static bool Fill(CheckRequest request, IReadOnlyList<TileRectangle> tiles) =>
        WindowRule.Holds(request.Format, tiles, default) && WindowRule.Holds(request.Format, tiles, new(request.Overlap, request.Overlap));

    private static IEnumerable<RemedyPart> Remedies(CheckRequest request, UsableTiles tiles, KitOptics optics, Seen worst)
    {
        double smallest = optics.Lens.ApertureRange is [_, double last] ? last : Engraved[^1];
        if (request.Tiles.Count <= MostTiles && Enough([.. Engraved.Where(stop => stop > optics.Aperture && stop <= smallest)], stop => Fill(request, tiles.At(stop).Of(request.Tiles))) is { } aperture)
        {
            yield return new() { Kind = "aperture", Text = $"Stop down to f/{Number(aperture)}: the cone of light is then narrow enough for these tiles." };
            yield break;
        }
        if (worst.Fraction > 0.05 && worst.Fraction < optics.LeastLight)
        {
            double least = Math.Floor(100 * worst.Fraction - 1e-9) / 100;
            yield return new() { Kind = "least-light", Text = FormattableString.Invariant($"Or let a tile's edge go down to {least:0.##} of its light: --least-light {least:0.##}.") };
        }
    }

    // The first stop that is enough: what one stop leaves of a tile, the next leaves too.
    private static double? Enough(double[] stops, Func<double, bool> isEnough)
    {
        if (stops.Length == 0 || !isEnough(stops[^1]))
            return null;
        (int low, int high) = (0, stops.Length - 1);
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = isEnough(stops[middle]) ? (low, middle) : (middle + 1, high);
        }
        return stops[low];
    }

    // Over corners, sides and middles of the largest places where a window lies in no usable tile (a window of size 0 where something is not shown at all): of the tiles
    // that would hold it, the one that sees most in the window's darkest corner; and of all places the darkest.
    private static Seen Worst(CheckRequest request, KitOptics optics, PupilView view, IReadOnlyList<TileRectangle> whole, IReadOnlyList<Polygon> places, double window)
    {
        var near = new TilePairs(whole);
        return places.OrderByDescending(place => place.Area).Take(AcceptanceCheck.MostRegions)
            .SelectMany(Points).Distinct()
            .SelectMany(c => Best(optics, view, [.. near.Meeting(new(c)).Select(i => (request.Tiles[i], whole[i]))], new(c.X, c.Y), window))
            .Cast<Seen?>()
            .MinBy(seen => seen!.Value.Fraction) ?? WorstCorner(request, optics, view, whole);
    }

    // Its corners lie where tiles end, and see just enough; the darkest point lies between them.
    private static IEnumerable<Coordinate> Points(Polygon place) =>
    [
        .. place.Coordinates,
        .. place.Coordinates.Zip(place.Coordinates.Skip(1), (from, to) => new Coordinate((from.X + to.X) / 2, (from.Y + to.Y) / 2)),
        place.Centroid.Coordinate,
    ];

    // Where a place is a mere line, no tile may hold its ends.
    private static Seen WorstCorner(CheckRequest request, KitOptics optics, PupilView view, IReadOnlyList<TileRectangle> whole) =>
        whole.SelectMany((tile, i) => tile.Corners().Select(corner => See(request.Tiles[i], optics, view, corner))).MinBy(seen => seen.Fraction);

    private static IEnumerable<Seen> Best(KitOptics optics, PupilView view, IReadOnlyList<(PlacedTile Tile, TileRectangle Whole)> near, PlanePoint middle, double window)
    {
        Seen[] seen = [.. near
            .Where(one => one.Whole.Eroded(new(window, window)).Grown(2 * PlaneArea.Snap).Holds(middle))
            .Select(one => new SensorPose(middle).Corners(new(window, window)).Select(corner => See(one.Tile, optics, view, corner)).MinBy(corner => corner.Fraction))];
        return seen.Length == 0 ? [] : [seen.MaxBy(one => one.Fraction)];
    }

    private static Seen See(PlacedTile tile, KitOptics optics, PupilView view, PlanePoint point) =>
        new(tile.Id, point, view.Fraction(optics.Stops(tile.Pose, tile.Setting?.BackTurned is true), point));

    private static string Number(double value) => FormattableString.Invariant($"{value:0.##}");

    private readonly record struct Seen(string Tile, PlanePoint Point, double Fraction);
}
