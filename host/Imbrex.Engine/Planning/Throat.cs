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

    /// <summary>Judges tiles that do not fill the format: a failure where the whole tiles would.</summary>
    public static Judgement Judge(CheckRequest request, UsableTiles tiles, IReadOnlyList<TileRectangle> usable, IReadOnlyList<Polygon> gaps)
    {
        TileRectangle[] whole = [.. request.Tiles.Select(tile => TileRectangle.Usable(tile, request.Sensor, request.Margins))];
        bool cut = usable.Zip(whole).Any(pair => pair.First != pair.Second);
        if (!cut || tiles.Optics is not { View: { } view } optics || !Fill(request, whole))
            return Judgement.Skipped(LightRule.Name, "");
        Seen worst = Worst(request, optics, view, whole, gaps);
        string light = worst.Fraction <= 1e-6 ? "it is black there" : FormattableString.Invariant($"{100 * worst.Fraction:0.#} % of the exit pupil is seen there");
        string asked = FormattableString.Invariant($"{100 * optics.LeastLight:0.#} % must be");
        FailurePart failure = new()
        {
            Rule = LightRule.Name,
            Tiles = [worst.Tile],
            Text = $"Mount or back clip the light of tile {worst.Tile} at ({Lengths.Text(worst.Point.X)}, {Lengths.Text(worst.Point.Y)}) mm: {light} at f/{Number(optics.Aperture!.Value)}, and {asked}; without what is too dark the tiles do not fill the format.",
        };
        return Judgement.Of(LightRule.Name, "", [failure]) with { Remedies = [.. Remedies(request, tiles, optics, worst)] };
    }

    private static bool Fill(CheckRequest request, IReadOnlyList<TileRectangle> tiles) =>
        WindowRule.Holds(request.Format, tiles, default) && WindowRule.Holds(request.Format, tiles, new(request.Overlap, request.Overlap));

    private static IEnumerable<RemedyPart> Remedies(CheckRequest request, UsableTiles tiles, KitOptics optics, Seen worst)
    {
        double smallest = optics.Lens.ApertureRange is [_, double last] ? last : Engraved[^1];
        foreach (double aperture in Engraved.Where(stop => stop > optics.Aperture && stop <= smallest))
        {
            if (!Fill(request, tiles.At(aperture).Of(request.Tiles)))
                continue;
            yield return new() { Kind = "aperture", Text = $"Stop down to f/{Number(aperture)}: the cone of light is then narrow enough for these tiles." };
            yield break;
        }
        if (worst.Fraction > 0.05 && worst.Fraction < optics.LeastLight)
        {
            double least = Math.Floor(100 * worst.Fraction - 1e-9) / 100;
            yield return new() { Kind = "least-light", Text = FormattableString.Invariant($"Or let a tile's edge go down to {least:0.##} of its light: --least-light {least:0.##}.") };
        }
    }

    // Over the corners of what is not shown, where the best tile sees least; where only the overlap fails, the tile corner that sees least.
    private static Seen Worst(CheckRequest request, KitOptics optics, PupilView view, IReadOnlyList<TileRectangle> whole, IReadOnlyList<Polygon> gaps)
    {
        IEnumerable<PlanePoint> points = gaps.SelectMany(gap => gap.Coordinates).Select(c => new PlanePoint(c.X, c.Y)).Distinct();
        Seen[] best = [.. points.SelectMany(point => Best(request, optics, view, whole, point))];
        return best.Length > 0
            ? best.MinBy(seen => seen.Fraction)
            : Enumerable.Range(0, whole.Count).SelectMany(i => whole[i].Corners().Select(corner => See(request.Tiles[i], optics, view, corner))).MinBy(seen => seen.Fraction);
    }

    private static IEnumerable<Seen> Best(CheckRequest request, KitOptics optics, PupilView view, IReadOnlyList<TileRectangle> whole, PlanePoint point)
    {
        Seen[] seen = [.. Enumerable.Range(0, whole.Count).Where(i => whole[i].Grown(PlaneArea.Snap).Holds(point)).Select(i => See(request.Tiles[i], optics, view, point))];
        return seen.Length == 0 ? [] : [seen.MaxBy(one => one.Fraction)];
    }

    private static Seen See(PlacedTile tile, KitOptics optics, PupilView view, PlanePoint point) =>
        new(tile.Id, point, view.Fraction(optics.Stops(tile.Pose, tile.Setting?.BackTurned is true), point));

    private static string Number(double value) => FormattableString.Invariant($"{value:0.##}");

    private readonly record struct Seen(string Tile, PlanePoint Point, double Fraction);
}
