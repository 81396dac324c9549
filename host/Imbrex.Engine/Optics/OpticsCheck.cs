using System.Runtime.CompilerServices;

namespace Imbrex.Engine.Optics;

/// <summary>Refuses numbers for which a formula has no meaning; the message carries name, value and range.</summary>
internal static class OpticsCheck
{
    /// <summary>A finite number above 0.</summary>
    public static double Positive(double value, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        double.IsFinite(value) && value > 0 ? value : throw Fault(value, name, "above 0");

    /// <summary>A finite number of at least 0.</summary>
    public static double NotNegative(double value, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        double.IsFinite(value) && value >= 0 ? value : throw Fault(value, name, "at least 0");

    /// <summary>A finite number between two others, both excluded.</summary>
    public static double Between(double value, double from, double to, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value > from && value < to ? value : throw Fault(value, name, FormattableString.Invariant($"between {from} and {to}"));

    private static ArgumentOutOfRangeException Fault(double value, string? name, string range) =>
        new(name, value, FormattableString.Invariant($"{name} is {value}; it must be a finite number {range}."));
}
