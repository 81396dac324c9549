using System.Globalization;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Testing.Fakes;

/// <summary>Requests to try a layout with.</summary>
public static class LayoutRequests
{
    /// <summary>A 36 x 24 mm sensor, a format of 60 x 20 mm, 2.4 mm of overlap, a back that may miss by 0.2 mm and 0.1 degrees and goes anywhere.</summary>
    public static LayoutRequest Ordinary { get; } = new()
    {
        Sensor = new(36, 24),
        Format = new(60, 20),
        Overlap = 2.4,
        PositionTolerance = 0.2,
        AngularTolerance = 0.1,
    };

    /// <summary>The ordinary request with another format and values for the parameters: <c>LayoutRequests.For(layout, "90x44", "columns=3")</c>.</summary>
    /// <param name="layout">The layout, for its declared parameters.</param>
    /// <param name="format">Width and height in mm, as on the command line.</param>
    /// <param name="given">Parameters as a person gives them, <c>name=value</c>.</param>
    /// <exception cref="ArgumentException">The format is not WxH, or a value not name=value.</exception>
    /// <exception cref="InputException">An unknown parameter, or a value that is not legal.</exception>
    public static LayoutRequest For(IMosaicLayout layout, string format, params IReadOnlyList<string> given)
    {
        ArgumentNullException.ThrowIfNull(layout);
        ArgumentNullException.ThrowIfNull(format);
        ArgumentNullException.ThrowIfNull(given);
        return Ordinary with { Format = Size(format), Parameters = ParameterValues.Bind(layout.Description.Parameters, given.Select(Pair).ToDictionary()) };
    }

    private static PlaneSize Size(string text) => text.Split('x') is [var width, var height] && Number(width, out double w) && Number(height, out double h)
        ? new(w, h)
        : throw new ArgumentException($"'{text}' is not a format such as 90x44.", nameof(text));

    private static bool Number(string text, out double value) => double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && value > 0 && double.IsFinite(value);

    private static KeyValuePair<string, string> Pair(string text) => text.Split('=', 2) is [var name, var value]
        ? new(name, value)
        : throw new ArgumentException($"'{text}' is not of the form name=value.", nameof(text));
}
