using System.Globalization;
using System.Text;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Sdk.Testing.Drawing;

/// <summary>
/// Draws tiles over the format as SVG: to look at in a browser, and, because it is text with one element a line and numbers of at most three decimals, to compare with a
/// drawing that was looked at before.
/// </summary>
public static class TileDrawing
{
    private const double Margin = 4;

    /// <summary>Draws what a layout places.</summary>
    /// <param name="layout">The layout.</param>
    /// <param name="request">What it is asked for.</param>
    /// <exception cref="RefusalException">The layout refuses the request.</exception>
    public static string Svg(IMosaicLayout layout, LayoutRequest request)
    {
        ArgumentNullException.ThrowIfNull(layout);
        ArgumentNullException.ThrowIfNull(request);
        return Svg(layout.Arrange(request), request.Sensor, request.Format);
    }

    /// <summary>Draws tiles as seen from behind the camera, at full size: 1 mm of the image plane is 1 mm on paper.</summary>
    /// <param name="tiles">The tiles.</param>
    /// <param name="sensor">Size of the sensor with the body upright, mm.</param>
    /// <param name="format">The rectangle to fill, mm.</param>
    public static string Svg(IReadOnlyList<Tile> tiles, PlaneSize sensor, PlaneSize format)
    {
        ArgumentNullException.ThrowIfNull(tiles);
        IReadOnlyList<PlanePoint>[] outlines = [.. tiles.Select(tile => tile.Pose.Corners(sensor))];
        double right = Math.Max(format.Width / 2, outlines.SelectMany(corners => corners).Select(corner => Math.Abs(corner.X)).DefaultIfEmpty().Max()) + Margin;
        double bottom = Math.Max(format.Height / 2, outlines.SelectMany(corners => corners).Select(corner => Math.Abs(corner.Y)).DefaultIfEmpty().Max()) + Margin;
        var svg = new StringBuilder();
        Line(svg, $"<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{N(2 * right)}mm\" height=\"{N(2 * bottom)}mm\" viewBox=\"{N(-right)} {N(-bottom)} {N(2 * right)} {N(2 * bottom)}\">");
        Line(svg, $"  <rect x=\"{N(-format.Width / 2)}\" y=\"{N(-format.Height / 2)}\" width=\"{N(format.Width)}\" height=\"{N(format.Height)}\" fill=\"#f2e6c8\" stroke=\"#8a6d1f\" stroke-width=\"0.4\"/>");
        for (int i = 0; i < tiles.Count; i++)
            Line(svg, $"  <polygon points=\"{string.Join(' ', outlines[i].Select(corner => $"{N(corner.X)},{N(corner.Y)}"))}\" fill=\"#2f6f9f\" fill-opacity=\"0.25\" stroke=\"#1d4a6b\" stroke-width=\"0.3\"/>");
        for (int i = 0; i < tiles.Count; i++)
            Label(svg, tiles[i], i);
        Line(svg, "  <path d=\"M-2 0H2M0 -2V2\" stroke=\"#333\" stroke-width=\"0.2\"/>");
        Line(svg, "</svg>");
        return svg.ToString();
    }

    // The label stands at the sensor's top as the body sees it, so that the turn can be read off.
    private static void Label(StringBuilder svg, Tile tile, int index)
    {
        PlanePoint centre = tile.Pose.Centre;
        string name = System.Security.SecurityElement.Escape(tile.Id ?? "t" + (index + 1).ToString(CultureInfo.InvariantCulture));
        Line(svg, $"  <text x=\"{N(centre.X)}\" y=\"{N(centre.Y)}\" dy=\"-3\" font-size=\"4\" font-family=\"sans-serif\" text-anchor=\"middle\" transform=\"rotate({N(tile.Pose.TotalRotation)} {N(centre.X)} {N(centre.Y)})\">{name}</text>");
    }

    private static void Line(StringBuilder svg, string text) => svg.Append(text).Append('\n');

    // Without a sign before nothing: -0 and 0 are one place.
    private static string N(double value) => (Math.Round(value, 3) + 0.0).ToString("0.###", CultureInfo.InvariantCulture);
}
