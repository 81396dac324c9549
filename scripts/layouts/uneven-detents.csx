// uneven-detents: for a back whose stops were filed by hand, so that no two gaps are alike. The stops are measured once and
// written down here; the script then takes as few of them as the format needs.
//
//     imbrex check scripts/layouts/uneven-detents.csx --kit kit.json --format 114x41
//
// Accepted for: sensor 36x24, format 114x41, overlap 2.4, tolerance 0.5,0.3
//
// To use it for your own back: measure where the sensor's centre stands at each stop, from the lens axis, and replace the numbers.

Name("uneven-detents");
Summary("Rows of level tiles at the stops of a home-made back, as few as the format needs");

double[] acrossStops = [-49.5, -40.5, -27, -13, 0.8, 15.5, 29, 42, 50.2];
double[] downStops = [-19.8, -10.4, 0.3, 10.1, 20.2];

// What is left of a tile when the back misses its stop as far as it may.
var tile = UsableTile();

foreach (var y in Fewest(downStops, Format.Height, tile.Height, "high"))
    foreach (var x in Fewest(acrossStops, Format.Width, tile.Width, "wide"))
        Tile(x, y);

// Goes from one edge of the format to the other and always takes the farthest stop whose tile still reaches back far enough:
// to the edge itself at first, and then to the overlap with the tile before.
List<double> Fewest(double[] stops, double length, double tileLength, string direction)
{
    var chosen = new List<double>();
    var farthest = -length / 2 + tileLength / 2;
    do
    {
        var last = chosen.Count > 0 ? chosen[^1] : double.NegativeInfinity;
        var next = stops.Where(stop => stop > last && stop <= farthest).DefaultIfEmpty(double.NaN).Max();

        // A layout that cannot serve what is asked says so in words. Three parts: what is wrong, where, and what to do.
        if (double.IsNaN(next))
            throw new RefusalException($"The stops of this back do not fill a format {length} mm {direction}.", null, "Ask for a smaller format.");
        chosen.Add(next);
        farthest = next + tileLength - Overlap;
    }
    while (chosen[^1] + tileLength / 2 < length / 2);
    return chosen;
}
