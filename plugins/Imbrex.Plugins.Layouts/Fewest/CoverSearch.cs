using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>A cover, and whether the search looked at everything that could have been better.</summary>
/// <param name="Tiles">The tiles, or null where none of so few was found.</param>
/// <param name="IsExhaustive">Whether no branch was dropped for want of room: without tiles, there are none of so few.</param>
internal readonly record struct Cover(IReadOnlyList<Laid>? Tiles, bool IsExhaustive);

/// <summary>
/// Covers a rectangle with the fewest level and upright rectangles. It is filled from above like a wall of bricks: the highest place not yet covered
/// (of several, the leftmost) must be covered by some tile, whose top may lie as low as that place, since all above is covered. What is covered is
/// then a skyline, and of two skylines of as many tiles one that is nowhere higher up need not be followed. Along x a tile may be
/// pushed to the right until its left edge meets the right edge of another, the rectangle's left side, or the end of the travel, so that finitely many positions
/// are enough (the normal patterns of cutting stock: Herz 1972; from memory).
/// </summary>
internal sealed class CoverSearch
{
    // Edges nearer than this are one.
    private const double Same = 1e-7;

    // More positions than these along x are not tried: the search is then not exhaustive.
    private const int MostPositions = 400;

    private readonly double _left, _right, _top, _bottom;
    private readonly IReadOnlyList<Station> _stations;
    private readonly double[] _columns;
    private readonly double[] _widths;
    private readonly Placing[][] _placings;
    private readonly double _tileArea;
    private readonly bool _allPositions;

    /// <param name="area">The rectangle to cover, centred on the origin, mm; neither side is negative.</param>
    /// <param name="stations">What the back offers.</param>
    public CoverSearch(PlaneSize area, IEnumerable<Station> stations)
    {
        (_left, _right, _top, _bottom) = (-area.Width / 2, area.Width / 2, -area.Height / 2, area.Height / 2);
        _stations = [.. stations.Where(station => station.Held.ShortSide > Same)];
        _tileArea = _stations.Count == 0 ? 0 : _stations.Max(station => station.Held.Area);
        List<double> edges = LeftEdges(out _allPositions);
        var placings = _stations.SelectMany(station => Lefts(station, edges).Select(left => (station, left))).ToList();
        _columns = [.. Distinct(placings.SelectMany(one => new[] { one.left, one.left + one.station.Held.Width }).Append(_left).Append(_right)
            .Select(x => Math.Clamp(x, _left, _right)))];
        if (_columns.Length < 2)
            _columns = [_left, _right];
        _widths = [.. _columns.Zip(_columns.Skip(1), (from, to) => to - from)];
        _placings = [.. _stations.Select(station => placings.Where(one => one.station == station).Select(one => Place(one.left, station)).Where(one => one.To > one.From).ToArray())];
    }

    /// <summary>Stretches of x that the search tells apart.</summary>
    public int Columns => _widths.Length;

    /// <summary>The fewest tiles that cover the rectangle.</summary>
    /// <param name="most">No more tiles than these.</param>
    /// <param name="breadth">Skylines kept at each number of tiles.</param>
    public Cover Find(int most, int breadth)
    {
        bool exhaustive = _allPositions;
        var layer = new List<Skyline> { new(new double[_widths.Length].Select(_ => _top).ToArray(), null, default) };
        for (int count = 1; count <= most; count++)
        {
            List<Skyline> next = Grow(layer, most - count);
            if (next.Find(IsDone) is { } done)
                return new([.. Tiles(done)], exhaustive);
            next.Sort((a, b) => b.Covered.CompareTo(a.Covered));
            layer = Undominated(next, breadth, ref exhaustive);
            if (layer.Count == 0)
                break;
        }
        return new(null, exhaustive);
    }

    private List<Skyline> Grow(List<Skyline> layer, int left)
    {
        var next = new List<Skyline>();
        var known = new HashSet<Skyline>(Skyline.SameHeights);
        double total = (_right - _left) * (_bottom - _top);
        foreach (Skyline skyline in layer)
        {
            int column = skyline.Highest();
            double level = skyline.Heights[column];
            for (int s = 0; s < _stations.Count; s++)
            {
                double height = _stations[s].Held.Height;
                if (_stations[s].Y.LastUpTo(level + height / 2) is not { } middle || middle + height / 2 <= level + Same)
                    continue;
                double bottom = Math.Min(_bottom, Math.Round(middle + height / 2, 7));
                Placing? pushed = null;
                foreach (Placing placing in _placings[s])
                {
                    if (placing.From > column)
                        break;
                    if (placing.To <= column)
                        continue;
                    // A tile whose left columns are covered already is no better than one that lies further right.
                    if (pushed is { } other && Gains(skyline, other.From, placing.From, bottom))
                        Add(skyline, other, middle, bottom);
                    pushed = placing;
                }
                if (pushed is { } last)
                    Add(skyline, last, middle, bottom);
            }
        }
        return next;

        void Add(Skyline skyline, Placing placing, double middle, double bottom)
        {
            Skyline grown = skyline.With(placing, middle, bottom, _widths);
            double open = total - grown.Covered;
            if (Math.Ceiling(open / _tileArea - 1e-9) <= left && known.Add(grown))
                next.Add(grown);
        }
    }

    private static bool Gains(Skyline skyline, int from, int to, double bottom)
    {
        for (int i = from; i < to; i++)
        {
            if (skyline.Heights[i] < bottom - Same)
                return true;
        }
        return false;
    }

    // Sorted by what they cover: only an earlier one can dominate a later one.
    private static List<Skyline> Undominated(List<Skyline> sorted, int breadth, ref bool exhaustive)
    {
        const int MostCompared = 300;
        var kept = new List<Skyline>();
        foreach (Skyline skyline in sorted)
        {
            bool dominated = false;
            for (int i = 0; i < kept.Count && i < MostCompared && !dominated; i++)
                dominated = kept[i].IsNowhereAbove(skyline);
            if (dominated)
                continue;
            if (kept.Count == breadth)
            {
                exhaustive = false;
                break;
            }
            kept.Add(skyline);
        }
        return kept;
    }

    private bool IsDone(Skyline skyline) => skyline.Heights.All(height => height >= _bottom - Same);

    private static IEnumerable<Laid> Tiles(Skyline done)
    {
        for (Skyline? at = done; at.Before is not null; at = at.Before)
            yield return new(at.Placed.Station, at.Placed.Middle, at.Row);
    }

    private Placing Place(double left, Station station)
    {
        int from = Column(left), to = Column(left + station.Held.Width);
        return new(from, to, left + station.Held.Width / 2, station);
    }

    private int Column(double x)
    {
        int column = 0;
        while (column < _columns.Length - 1 && _columns[column] < x - Same)
            column++;
        return column;
    }

    // The left edges at which a station may put a tile, rising.
    private static IEnumerable<double> Lefts(Station station, List<double> edges) => station.X.Stops.Count > 0
        ? station.X.Stops.Select(stop => stop - station.Held.Width / 2)
        : edges.Where(left => station.X.Holds(left + station.Held.Width / 2));

    private List<double> LeftEdges(out bool all)
    {
        var edges = new List<double> { _left };
        foreach (Station station in _stations)
        {
            double half = station.Held.Width / 2;
            if (station.X.Stops.Count > 0)
                edges.AddRange(station.X.Stops.Select(stop => stop + half));
            else if (double.IsFinite(station.X.To))
                edges.Add(station.X.To - half);
        }
        edges = Distinct(edges.Where(edge => edge < _right));
        double[] steps = [.. _stations.Select(station => station.Held.Width).Distinct()];
        for (int i = 0; i < edges.Count && edges.Count <= MostPositions; i++)
        {
            foreach (double edge in steps.Select(step => edges[i] + step))
            {
                if (edge < _right - Same && edge > _left + Same && !edges.Exists(known => Math.Abs(known - edge) < Same))
                    edges.Add(edge);
            }
        }
        all = edges.Count <= MostPositions;
        return Distinct(edges);
    }

    private static List<double> Distinct(IEnumerable<double> values)
    {
        var distinct = new List<double>();
        foreach (double value in values.Order())
        {
            if (distinct.Count == 0 || value - distinct[^1] > Same)
                distinct.Add(value);
        }
        return distinct;
    }
}

/// <summary>A tile at one place along x: the columns it covers, its middle, and how the body stands.</summary>
internal readonly record struct Placing(int From, int To, double Middle, Station Station);
