using Imbrex.Engine.Clearance;
using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The drawing of a plan, black on white, as SVG: the image plane seen from behind the camera, with the tiles in shooting order, the
/// format, how many tiles lie over each other, and what fails.
/// </summary>
public static class PlanDrawing
{
    // Room for the words in units of the drawing, which is always this wide inside.
    private const double Inside = 900;
    private const double Margin = 30;
    private const double Head = 64;
    private const double Foot = 96;

    // A tile laid over others darkens the grey by this much; failures are told by hatches, not by colour alone.
    private const string Css = """
        text{font-family:"Helvetica Neue",Arial,"Liberation Sans",sans-serif;fill:#111}
        .head{font-size:20px;font-weight:bold}.line{font-size:14px}.small{font-size:12px;fill:#444}
        .number{font-weight:bold;text-anchor:middle}.id{fill:#444;text-anchor:middle}.end{font-size:12px;fill:#444;text-anchor:end}
        .middle{font-size:12px;fill:#444;text-anchor:middle}
        .depth{fill:#000;fill-opacity:.09;stroke:none}
        .tile{fill:none;stroke:#333;stroke-width:1.2}.usable{fill:none;stroke:#777;stroke-width:.8;stroke-dasharray:2 3}
        .format{fill:none;stroke:#000;stroke-width:3}.over{stroke-dasharray:8 4}
        .coverage{fill:url(#gap);stroke:#b00020;stroke-width:1.5}.overlap{fill:url(#thin);stroke:#0050a0;stroke-width:1.2}
        .clearance{fill:url(#clash);stroke:#7a3d00;stroke-width:1.5}.part{fill:none;stroke:#7a3d00;stroke-width:1}
        .out{fill:none;stroke:#b00020;stroke-width:3;stroke-dasharray:3 3}.top{fill:#333;stroke:none}.scale{fill:none;stroke:#000;stroke-width:2}
        """;

    /// <summary>Draws a plan under the margins that its verdict was given with, as UTF-8.</summary>
    public static byte[] Svg(PlanDocument plan, VerdictDocument verdict)
    {
        ArgumentNullException.ThrowIfNull(verdict);
        CheckRequest request = CheckRequest.For(plan, back: null) with
        {
            Overlap = verdict.OverlapMm,
            Margins = verdict.Margins(),
        };
        return System.Text.Encoding.UTF8.GetBytes(Svg(request, verdict));
    }

    /// <summary>Draws a plan and its verdict.</summary>
    /// <param name="request">The judged request; its tiles are numbered in their order.</param>
    /// <param name="verdict">What the rules say.</param>
    /// <returns>A complete SVG document.</returns>
    public static string Svg(CheckRequest request, VerdictDocument verdict)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(verdict);
        return new Sheet(request, verdict).Draw();
    }

    private sealed class Sheet
    {
        private readonly CheckRequest _request;
        private readonly VerdictDocument _verdict;
        private readonly Svg _svg = new();
        private readonly (double Left, double Top, double Right, double Bottom) _box;
        private readonly double _scale;

        public Sheet(CheckRequest request, VerdictDocument verdict)
        {
            (_request, _verdict) = (request, verdict);
            var corners = request.Tiles.SelectMany(tile => tile.Pose.Corners(request.Sensor))
                .Append(new(-request.Format.Width / 2, -request.Format.Height / 2))
                .Append(new(request.Format.Width / 2, request.Format.Height / 2))
                .Concat(verdict.Failures.SelectMany(failure => failure.Region ?? []).SelectMany(ring => ring).Select(point => new PlanePoint(point[0], point[1]))).ToList();
            _box = (corners.Min(c => c.X), corners.Min(c => c.Y), corners.Max(c => c.X), corners.Max(c => c.Y));
            _scale = Math.Min(Inside / (_box.Right - _box.Left), Inside / (_box.Bottom - _box.Top));
        }

        private double Height => (_box.Bottom - _box.Top) * _scale;

        private double Offset => Margin + (Inside - (_box.Right - _box.Left) * _scale) / 2;

        public string Draw()
        {
            double width = Inside + 2 * Margin;
            double height = Head + Height + Foot;
            _svg.Open($"svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:0.##} {height:0.##}\" width=\"{width:0.##}\" height=\"{height:0.##}\" role=\"img\"");
            _svg.Title($"Plan of {_verdict.Frames} tiles, seen from behind the camera");
            _svg.Style(Css);
            Hatches();
            _svg.Element($"rect width=\"100%\" height=\"100%\" fill=\"#fff\"");
            string verdictWord = _verdict.Accepted ? "Accepted" : "Refused";
            _svg.Text(Margin, 30, "head", FormattableString.Invariant($"{verdictWord}: {_verdict.Frames} {(_verdict.Frames == 1 ? "frame" : "frames")} for {Lengths.Text(_request.Format)}"));
            if (_verdict.MeasuredOverlap is { } overlap && _verdict.Frames > 1)
                _svg.Text(Margin + Inside, 30, "end", VerdictWords.Overlap(overlap));
            _svg.Text(Margin, 52, "small", "Image plane seen from behind the camera: x to the right, y down; the scene stands upside down here");
            foreach (PlacedTile tile in _request.Tiles)
                _svg.Element($"path class=\"depth\" d=\"{Path(tile, Shown)}\"");
            foreach (FailurePart failure in _verdict.Failures.Where(failure => failure.Region is not null))
                _svg.Element($"path class=\"{failure.Rule}\" fill-rule=\"evenodd\" d=\"{Imbrex.Engine.Planning.Svg.Path(failure.Region!.Select(ring => ring.Select(point => (X(point[0]), Y(point[1])))))}\"");
            if (Collides)
                Parts();
            PlaneSize format = _request.Format;
            _svg.Element($"rect class=\"format\" x=\"{X(-format.Width / 2):0.##}\" y=\"{Y(-format.Height / 2):0.##}\" width=\"{format.Width * _scale:0.##}\" height=\"{format.Height * _scale:0.##}\"");
            for (int i = 0; i < _request.Tiles.Count; i++)
                Tile(_request.Tiles[i], i + 1);
            Legend();
            _svg.Close("svg");
            return _svg.ToString();
        }

        private bool Collides => _verdict.Failures.Any(failure => failure.Rule == ClearanceRule.Name);

        // What stands while the body moves, with the back upright; it may reach beyond the sheet, where it is cut.
        private void Parts()
        {
            foreach (OutlinePart part in (_request.Kit?.Back.Outline ?? []).Where(part => !part.IsOnCarriage).Concat(_request.Kit?.Camera?.Outline ?? []))
                _svg.Element($"path class=\"part\" clip-path=\"url(#plane)\" d=\"{Imbrex.Engine.Planning.Svg.Path(part.RingsMm.Select(ring => ring.Select(point => (X(point[0]), Y(point[1])))))}\"");
        }

        private PlaneSize Shown => _request.Margins.Usable(_request.Sensor) is { ShortSide: > 0 } usable ? usable : _request.Sensor;

        private void Hatches()
        {
            _svg.Open($"defs");
            _svg.Open($"pattern id=\"gap\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"");
            _svg.Element($"rect width=\"7\" height=\"7\" fill=\"#fff\"");
            _svg.Element($"path d=\"M0,0V7M3.5,0V7\" stroke=\"#b00020\" stroke-width=\"1.6\"");
            _svg.Close("pattern");
            _svg.Open($"pattern id=\"thin\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(-45)\"");
            _svg.Element($"path d=\"M0,0V8\" stroke=\"#0050a0\" stroke-width=\"1.4\"");
            _svg.Close("pattern");
            if (Collides)
            {
                _svg.Open($"pattern id=\"clash\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"");
                _svg.Element($"path d=\"M0,0L6,6M6,0L0,6\" stroke=\"#7a3d00\" stroke-width=\"1.2\"");
                _svg.Close("pattern");
                _svg.Open($"clipPath id=\"plane\"");
                _svg.Element($"rect x=\"{Margin / 2:0.##}\" y=\"{Head - Margin / 4:0.##}\" width=\"{Inside + Margin:0.##}\" height=\"{Height + Margin / 2:0.##}\"");
                _svg.Close("clipPath");
            }
            _svg.Close("defs");
        }

        private void Tile(PlacedTile tile, int number)
        {
            bool outOfReach = _verdict.Failures.Any(failure => failure.Rule == Reach.Name && failure.Tiles.Contains(tile.Id));
            bool over = tile.Setting?.BackTurned is true;
            _svg.Element($"path class=\"{(outOfReach ? "out" : over ? "tile over" : "tile")}\" d=\"{Path(tile, _request.Sensor)}\"");
            if (_request.Margins != Margins.None)
                _svg.Element($"path class=\"usable\" d=\"{Path(tile, Shown)}\"");
            PlanePoint centre = tile.Pose.Centre;
            double size = Math.Clamp(0.28 * _request.Sensor.ShortSide * _scale, 6, 34);
            Top(tile, 0.75 * size / _scale);
            _svg.Element($"circle cx=\"{X(centre.X):0.##}\" cy=\"{Y(centre.Y):0.##}\" r=\"{0.75 * size:0.##}\" fill=\"#fff\" fill-opacity=\".85\" stroke=\"#333\"");
            Number(X(centre.X), Y(centre.Y) + 0.35 * size, size, FormattableString.Invariant($"{number}"));
        }

        private void Number(double x, double y, double size, string text)
        {
            _svg.Open($"g font-size=\"{(text.Length > 2 ? 0.7 : 1) * size:0.##}\"");
            _svg.Text(x, y, "number", text);
            _svg.Close("g");
        }

        // A wedge on the number's disc, pointing where the body's top points.
        private void Top(PlacedTile tile, double radius)
        {
            PlanePoint[] wedge = [new(0, -1.5 * radius), new(0.4 * radius, -1.08 * radius), new(-0.4 * radius, -1.08 * radius)];
            _svg.Element($"path class=\"top\" d=\"{Rings(wedge.Select(point => tile.Pose.Centre + point.Rotated(tile.Pose.TotalRotation)))}\"");
        }

        private void Legend()
        {
            double y = Head + Height + 28;
            double length = Round(0.2 * (_box.Right - _box.Left));
            _svg.Element($"path class=\"scale\" d=\"M{Margin},{y - 6:0.##}V{y:0.##}H{Margin + length * _scale:0.##}V{y - 6:0.##}\"");
            _svg.Text(Margin + length * _scale + 8, y, "line", FormattableString.Invariant($"{length:0.###} mm"));
            _svg.Text(Margin + Inside, y, "end", FormattableString.Invariant($"overlap asked for {Lengths.Text(_request.Overlap)} mm, tolerance {Margins.Text(_request.Margins.Position, Lengths.Text)} and {Lengths.Text(_request.Margins.Angle)} degrees"));
            _svg.Text(Margin, y + 24, "small", "Numbers: shooting order. Darker grey: more tiles lie over each other. Wedge: the body's top. Heavy frame: the format.");
            string dashes = _request.Margins == Margins.None ? "" : " Dotted: what is certain of a tile.";
            string over = _request.Tiles.Any(tile => tile.Setting?.BackTurned is true) ? " Dashed: back turned over." : "";
            string clashes = Collides ? " Crossed brown: parts run into each other; brown lines: back and standard." : "";
            string failures = _verdict.Failures.Any(failure => failure.Region is not null && failure.Rule is not ClearanceRule.Name) ? " Red hatch: shown by no tile. Blue hatch: middles of windows that no tile holds." : "";
            string reach = _verdict.Failures.Any(failure => failure.Rule == Reach.Name) ? " Red dashes: out of reach." : "";
            _svg.Text(Margin, y + 42, "small", (dashes + over + failures + clashes + reach).Trim());
        }

        // 1, 2 or 5 times a power of ten.
        private static double Round(double length)
        {
            double power = Math.Pow(10, Math.Floor(Math.Log10(length)));
            return power * (length / power >= 5 ? 5 : length / power >= 2 ? 2 : 1);
        }

        private string Path(PlacedTile tile, PlaneSize size) => Rings(tile.Pose.Corners(size));

        private string Rings(IEnumerable<PlanePoint> points) => Imbrex.Engine.Planning.Svg.Path([points.Select(point => (X(point.X), Y(point.Y)))]);

        private double X(double x) => Offset + (x - _box.Left) * _scale;

        private double Y(double y) => Head + (y - _box.Top) * _scale;
    }
}
