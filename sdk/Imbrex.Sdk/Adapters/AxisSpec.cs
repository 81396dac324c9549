namespace Imbrex.Sdk.Adapters;

/// <summary>From which side a stop is approached, so that play in the screw or rack always lies on the same flank.</summary>
public enum Approach
{
    /// <summary>The axis has no play worth minding.</summary>
    Any,

    /// <summary>Come from smaller positions.</summary>
    Rising,

    /// <summary>Come from larger positions.</summary>
    Falling,
}

/// <summary>One axis of a back as built: its travel, stops and faults.</summary>
public sealed record AxisSpec
{
    /// <summary>What the maker calls the axis, as messages and the field card then do too; null for a name by how it moves the sensor.</summary>
    public string? Name { get; init; }

    /// <summary>Whether the axis turns: its positions and its scale are then degrees clockwise. What it may miss by is mm at the sensor all the same.</summary>
    public bool IsPivot { get; init; }

    /// <summary>Smallest position, mm (degrees for a pivot).</summary>
    public required double Minimum { get; init; }

    /// <summary>Largest position, mm (degrees for a pivot).</summary>
    public required double Maximum { get; init; }

    /// <summary>The only positions the axis stops at, rising; empty where it stops anywhere.</summary>
    public IReadOnlyList<double> Detents { get; init; } = [];

    /// <summary>Reading of the back's own scale at position 0.</summary>
    public double ScaleZero { get; init; }

    /// <summary>+1 where the scale rises with the position, -1 where it falls.</summary>
    public int ScaleSign { get; init; } = 1;

    /// <summary>How far the axis may miss a position, mm at the sensor.</summary>
    public double Tolerance { get; init; }

    /// <summary>Play of the axis, mm at the sensor; 0 for none.</summary>
    public double Backlash { get; init; }

    /// <summary>From which side stops are approached.</summary>
    public Approach Approach { get; init; }
}
