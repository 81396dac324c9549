using System.Globalization;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Cli.Arguments;

/// <summary>A sensor as typed: <c>36x24/6000x4000</c> is 36 x 24 mm with 6000 x 4000 px.</summary>
internal static class SensorText
{
    public static SensorPart Parse(string text, string option)
    {
        string[] halves = text.Split('/');
        string[] pixels = halves.Length == 2 ? halves[1].Split('x') : [];
        if (pixels.Length != 2 || !int.TryParse(pixels[0], NumberStyles.None, CultureInfo.InvariantCulture, out int widthPx)
            || !int.TryParse(pixels[1], NumberStyles.None, CultureInfo.InvariantCulture, out int heightPx))
        {
            throw new InputException($"{option} is '{text}', which is not a sensor.", option, "Write millimetres, a slash and pixels, such as 36x24/6000x4000.");
        }
        PlaneSize size = SizeText.Parse(halves[0], option);
        var sensor = new SensorPart { WidthMm = size.Width, HeightMm = size.Height, WidthPx = widthPx, HeightPx = heightPx };
        SensorRules.ThrowIfFaulty(sensor, option);
        return sensor;
    }
}
