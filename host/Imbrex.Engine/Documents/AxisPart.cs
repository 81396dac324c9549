using System.Text.Json.Serialization;

namespace Imbrex.Engine.Documents;

/// <summary>One axis of the back: a slide in mm, or a pivot in degrees clockwise seen from behind.</summary>
public sealed record AxisPart
{
    private const int LongestName = 16;

    /// <summary>What the maker calls it, as messages and the card then do too: <c>upper rail</c>.</summary>
    public string? Name { get; init; }
    public double? MinMm { get; init; }
    public double? MaxMm { get; init; }
    public IReadOnlyList<double>? DetentsMm { get; init; }

    /// <summary>What the scale reads at position 0.</summary>
    public double? ScaleZeroMm { get; init; }

    /// <summary>For a pivot instead of <see cref="MinMm"/>.</summary>
    public double? MinDeg { get; init; }

    /// <summary>For a pivot instead of <see cref="MaxMm"/>.</summary>
    public double? MaxDeg { get; init; }

    /// <summary>For a pivot instead of <see cref="DetentsMm"/>.</summary>
    public IReadOnlyList<double>? DetentsDeg { get; init; }

    /// <summary>For a pivot instead of <see cref="ScaleZeroMm"/>.</summary>
    public double? ScaleZeroDeg { get; init; }
    public int? ScaleSign { get; init; }

    /// <summary>How far the axis may miss a position, mm at the sensor.</summary>
    public double? ToleranceMm { get; init; }

    /// <summary>Play of the axis, mm at the sensor.</summary>
    public double? BacklashMm { get; init; }

    /// <summary><c>rising</c>, <c>falling</c> or <c>any</c>.</summary>
    public string? Approach { get; init; }

    /// <summary>Whether the axis turns.</summary>
    [JsonIgnore]
    public bool IsPivot => MinDeg is not null;

    /// <summary>The smallest position of a validated axis, mm or degrees.</summary>
    [JsonIgnore]
    public double Minimum => MinDeg ?? MinMm ?? 0;

    /// <summary>The largest position of a validated axis, mm or degrees.</summary>
    [JsonIgnore]
    public double Maximum => MaxDeg ?? MaxMm ?? 0;

    /// <summary>The only positions at which it stops, mm or degrees; empty where it stops anywhere.</summary>
    [JsonIgnore]
    public IReadOnlyList<double> Detents => DetentsDeg ?? DetentsMm ?? [];

    /// <summary>What the scale reads at position 0, mm or degrees.</summary>
    [JsonIgnore]
    public double ScaleZero => ScaleZeroDeg ?? ScaleZeroMm ?? 0;

    /// <summary>What positions count.</summary>
    [JsonIgnore]
    public string Unit => IsPivot ? "degrees" : "mm";

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(Name is null || (Name.Length is > 0 and <= LongestName && Name == Name.Trim() && !Name.Any(char.IsControl)),
            path + ".name", FormattableString.Invariant($"An axis's name has 1 to {LongestName} letters and no spaces around them."));
        bool slides = MinMm is not null || MaxMm is not null || DetentsMm is not null || ScaleZeroMm is not null;
        bool turns = MinDeg is not null || MaxDeg is not null || DetentsDeg is not null || ScaleZeroDeg is not null;
        check.Require(slides != turns && (MinMm is null) == (MaxMm is null) && (MinDeg is null) == (MaxDeg is null) && (MinMm ?? MinDeg) is not null,
            path, "An axis has \"minMm\" and \"maxMm\" for a slide, or \"minDeg\" and \"maxDeg\" for a pivot, and never both.");
        string unit = turns ? "Deg" : "Mm";
        check.Require(Minimum <= Maximum, $"{path}.max{unit}", $"The axis ends before it begins: max{unit} is smaller than min{unit}.");
        check.NotNegative(ToleranceMm, path + ".toleranceMm");
        check.NotNegative(BacklashMm, path + ".backlashMm");
        check.Require(ScaleSign is null or 1 or -1, path + ".scaleSign", "The sign is 1 or -1.");
        check.Require(Approach is null or "rising" or "falling" or "any", path + ".approach", "The approach is rising, falling or any.");
        for (int i = 0; i < Detents.Count; i++)
        {
            string at = FormattableString.Invariant($"{path}.detents{unit}[{i}]");
            check.Require(Detents[i] >= Minimum && Detents[i] <= Maximum, at, FormattableString.Invariant($"The detent at {Detents[i]} {Unit} lies outside the travel."));
            check.Require(i == 0 || Detents[i] > Detents[i - 1], at, FormattableString.Invariant($"The detent at {Detents[i]} {Unit} does not lie above the one listed before it: detents are listed rising, each once."));
        }
    }
}
