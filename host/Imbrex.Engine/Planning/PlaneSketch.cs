using Imbrex.Engine.Clearance;
using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// What a drawing shows of the image plane, without any words but the numbers of the tiles: the lens's circles and axis, the tiles with what is usable of
/// them, the format, and what fails. Colours and hatches belong to the classes, so that paper and screen may differ.
/// </summary>
internal sealed class PlaneSketch
{
    // A circle is shown whole unless the tiles would be lost in it.
    private const double LargestCircle = 3;

    // Points of a circle's outline: within 0.02 mm of a circle of 200 mm.
    private const int CirclePoints = 240;

    private readonly CheckRequest _request;
    private readonly VerdictDocument _verdict;
    private readonly TileRectangle[] _usable;
    private readonly HashSet<string> _outOfReach;
    private readonly (double Left, double Top, double Right, double Bottom) _tight;
    private readonly (double Left, double Top, double Right, double Bottom) _box;
    private readonly double _left;
    private readonly double _top;

    /// <param name="request">The judged request.</param>
    /// <param name="verdict">What the rules say.</param>
    /// <param name="inside">Side of the square, in units of the drawing, that the sketch fits into.</param>
    /// <param name="left">Where that square begins; what is narrower is centred in it.</param>
    /// <param name="top">Where the sketch begins.</param>
    public PlaneSketch(CheckRequest request, VerdictDocument verdict, double inside, double left, double top)
    {
        (_request, _verdict, _top) = (request, verdict, top);
        UsableTiles usable = UsableTiles.For(request);
        _usable = usable.Of(request.Tiles);
        _outOfReach = [.. verdict.Failures.Where(failure => failure.Rule == Reach.Name).SelectMany(failure => failure.Tiles)];
        Light = usable.Optics?.Light?.Outline(CirclePoints) ?? [];
        Sharp = usable.Optics?.Sharp?.Outline(CirclePoints) ?? [];
        Axis = usable.Optics is { } optics ? optics.Stance.Axis : request.Picture?.Movements is null ? PlanePoint.Origin : null;
        _tight = BoxOf(
        [
            .. request.Tiles.SelectMany(tile => tile.Pose.Corners(request.Sensor)),
            .. new SensorPose(PlanePoint.Origin).Corners(request.Format),
            .. verdict.Failures.SelectMany(failure => failure.Region ?? []).SelectMany(ring => ring).Select(point => new PlanePoint(point[0], point[1])),
        ]);
        _box = WithCircles(_tight);
        Scale = Math.Min(inside / Width(_box), inside / Height(_box));
        _left = left + (inside - Width(_box) * Scale) / 2;
    }

    /// <summary>Units of the drawing by mm.</summary>
    public double Scale { get; }

    /// <summary>Height of the sketch in units of the drawing.</summary>
    public double DrawnHeight => Height(_box) * Scale;

    /// <summary>Width of what is shown, mm.</summary>
    public double WidthMm => Width(_box);

    public IReadOnlyList<PlanePoint> Light { get; }

    public IReadOnlyList<PlanePoint> Sharp { get; }

    /// <summary>Where the lens axis meets the image plane; null where the movements are known and the lens is not.</summary>
    public PlanePoint? Axis { get; }

    public bool AnyCut => _usable.Any(tile => tile.Cuts.Count > 0);

    /// <summary>Left, top, width and height of the tiles and the format in units of the drawing, with a little air.</summary>
    public (double Left, double Top, double Width, double Height) Tight
    {
        get
        {
            double air = 0.04 * Width(_tight) * Scale;
            return (X(_tight.Left) - air, Y(_tight.Top) - air, Width(_tight) * Scale + 2 * air, Height(_tight) * Scale + 2 * air);
        }
    }

    public (double Left, double Top, double Width, double Height) Whole => (X(_box.Left), Y(_box.Top), Width(_box) * Scale, Height(_box) * Scale);

    public void Draw(Svg svg)
    {
        (double left, double top, double width, double height) = Whole;
        svg.Open($"clipPath id=\"plane\"");
        svg.Element($"rect x=\"{left:0.##}\" y=\"{top:0.##}\" width=\"{width:0.##}\" height=\"{height:0.##}\"");
        svg.Close("clipPath");
        svg.Open($"g clip-path=\"url(#plane)\"");
        Circle(svg, "circle lit", Light);
        foreach ((PlacedTile tile, int i) in _request.Tiles.Select((tile, i) => (tile, i)))
            svg.Element($"path class=\"depth\" d=\"{Path(Shown(tile, i))}\"");
        for (int i = 0; i < _verdict.Failures.Count; i++)
        {
            if (_verdict.Failures[i] is { Region: { } region } failure)
                svg.Element($"path class=\"{failure.Rule}\" data-failure=\"{i}\" fill-rule=\"evenodd\" d=\"{Svg.Path(region.Select(ring => ring.Select(point => (X(point[0]), Y(point[1])))))}\"");
        }
        if (_verdict.Failures.Any(failure => failure.Rule == ClearanceRule.Name))
            Parts(svg);
        Circle(svg, "circle sharp", Sharp);
        Format(svg, "format");
        for (int i = 0; i < _request.Tiles.Count; i++)
            Tile(svg, _request.Tiles[i], i);
        Cross(svg);
        svg.Close("g");
    }

    /// <summary>The format's frame.</summary>
    public void Format(Svg svg, string css)
    {
        PlaneSize format = _request.Format;
        svg.Element($"rect class=\"{css}\" x=\"{X(-format.Width / 2):0.##}\" y=\"{Y(-format.Height / 2):0.##}\" width=\"{format.Width * Scale:0.##}\" height=\"{format.Height * Scale:0.##}\"");
    }

    // What stands while the body moves, with the back upright.
    private void Parts(Svg svg)
    {
        foreach (OutlinePart part in (_request.Kit?.Back.Outline ?? []).Where(part => !part.IsOnCarriage).Concat(_request.Kit?.Camera?.Outline ?? []))
            svg.Element($"path class=\"part\" d=\"{Svg.Path(part.RingsMm.Select(ring => ring.Select(point => (X(point[0]), Y(point[1])))))}\"");
    }

    private void Circle(Svg svg, string css, IReadOnlyList<PlanePoint> outline)
    {
        if (outline.Count > 0)
            svg.Element($"path class=\"{css}\" d=\"{Path(outline)}\"");
    }

    private void Tile(Svg svg, PlacedTile tile, int i)
    {
        string css = _outOfReach.Contains(tile.Id) ? "out" : tile.Setting?.BackTurned is true ? "tile over" : "tile";
        svg.Open($"g data-tile=\"{i}\"");
        svg.Element($"path class=\"{css}\" d=\"{Path(tile.Pose.Corners(_request.Sensor))}\"");
        if (_request.Margins != Margins.None || _usable[i].Cuts.Count > 0)
            svg.Element($"path class=\"{(_usable[i].Cuts.Count > 0 ? "usable cut" : "usable")}\" d=\"{Path(Shown(tile, i))}\"");
        PlanePoint centre = tile.Pose.Centre;
        double size = Math.Clamp(0.28 * _request.Sensor.ShortSide * Scale, 6, 34);
        Top(svg, tile, 0.75 * size / Scale);
        svg.Element($"circle class=\"disc\" cx=\"{X(centre.X):0.##}\" cy=\"{Y(centre.Y):0.##}\" r=\"{0.75 * size:0.##}\"");
        svg.Open($"g font-size=\"{(i >= 99 ? 0.7 : 1) * size:0.##}\"");
        svg.Text(X(centre.X), Y(centre.Y) + 0.35 * size, "number", FormattableString.Invariant($"{i + 1}"));
        svg.Close("g");
        svg.Close("g");
    }

    // A wedge on the number's disc, pointing where the body's top points.
    private void Top(Svg svg, PlacedTile tile, double radius)
    {
        PlanePoint[] wedge = [new(0, -1.5 * radius), new(0.4 * radius, -1.08 * radius), new(-0.4 * radius, -1.08 * radius)];
        svg.Element($"path class=\"top\" d=\"{Path(wedge.Select(point => tile.Pose.Centre + point.Rotated(tile.Pose.TotalRotation)))}\"");
    }

    private void Cross(Svg svg)
    {
        const double Arm = 14, Gap = 4;
        if (Axis is not { } axis)
            return;
        (double x, double y) = (X(axis.X), Y(axis.Y));
        svg.Element($"path class=\"axis\" d=\"M{x - Arm:0.##},{y:0.##}H{x - Gap:0.##}M{x + Gap:0.##},{y:0.##}H{x + Arm:0.##}M{x:0.##},{y - Arm:0.##}V{y - Gap:0.##}M{x:0.##},{y + Gap:0.##}V{y + Arm:0.##}\"");
    }

    // What is certain of a tile and lit; the whole tile where nothing is, so that it does not vanish from the drawing.
    private IReadOnlyList<PlanePoint> Shown(PlacedTile tile, int i) =>
        _usable[i].Size.ShortSide > 0 && _usable[i].Corners() is { Count: >= 3 } corners ? corners : tile.Pose.Corners(_request.Sensor);

    private (double Left, double Top, double Right, double Bottom) WithCircles((double Left, double Top, double Right, double Bottom) tight)
    {
        double most = LargestCircle * Math.Max(Width(tight), Height(tight));
        IEnumerable<PlanePoint> shown = new[] { Light, Sharp }.Where(circle => circle.Count > 0 && Width(BoxOf(circle)) <= most).SelectMany(circle => circle);
        if (Axis is { } axis && axis.Length <= most)
            shown = shown.Append(axis);
        return BoxOf([.. shown, new(tight.Left, tight.Top), new(tight.Right, tight.Bottom)]);
    }

    private static (double Left, double Top, double Right, double Bottom) BoxOf(IReadOnlyList<PlanePoint> points) =>
        (points.Min(p => p.X), points.Min(p => p.Y), points.Max(p => p.X), points.Max(p => p.Y));

    private static double Width((double Left, double Top, double Right, double Bottom) box) => box.Right - box.Left;

    private static double Height((double Left, double Top, double Right, double Bottom) box) => box.Bottom - box.Top;

    private string Path(IEnumerable<PlanePoint> points) => Svg.Path([points.Select(point => (X(point.X), Y(point.Y)))]);

    private double X(double x) => _left + (x - _box.Left) * Scale;

    private double Y(double y) => _top + (y - _box.Top) * Scale;
}
