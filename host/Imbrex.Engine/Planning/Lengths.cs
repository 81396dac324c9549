using System.Globalization;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>How lengths are rounded and written in verdicts.</summary>
internal static class Lengths
{
    /// <summary>Down to 1e-5 mm: what is promised holds, and the snap of 1e-6 mm does not show.</summary>
    public static double Down(double length) => Math.Floor(length * 1e5) / 1e5;

    public static PlaneSize Down(PlaneSize size) => new(Down(size.Width), Down(size.Height));

    /// <summary>To the nearest hundredth of a millimetre, for reading.</summary>
    public static string Text(double length) => Math.Round(length, 2).ToString("0.##", CultureInfo.InvariantCulture);

    /// <summary>Down to a hundredth, for numbers to be typed in again: rounded up they would fail.</summary>
    public static string Safe(double length) => (Math.Floor(length * 100 + 1e-6) / 100).ToString("0.##", CultureInfo.InvariantCulture);

    /// <summary>Up to a hundredth, for what is needed at least.</summary>
    public static string Up(double length) => (Math.Ceiling(length * 100 - 1e-6) / 100).ToString("0.##", CultureInfo.InvariantCulture);

    public static string Text(PlaneSize size) => $"{Text(size.Width)} x {Text(size.Height)} mm";

    public static string List(IReadOnlyList<string> names, int most = 8) => names.Count <= most
        ? string.Join(", ", names)
        : FormattableString.Invariant($"{string.Join(", ", names.Take(most - 1))} and {names.Count - most + 1} more");
}
