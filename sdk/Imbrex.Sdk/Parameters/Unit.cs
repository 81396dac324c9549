namespace Imbrex.Sdk.Parameters;

/// <summary>What a parameter's number counts.</summary>
public enum Unit
{
    /// <summary>A bare number, such as a ratio.</summary>
    None,

    /// <summary>Millimetres on the image plane.</summary>
    Millimetre,

    /// <summary>Degrees, clockwise seen from behind.</summary>
    Degree,

    /// <summary>Seconds.</summary>
    Second,

    /// <summary>Photographic stops (log2 of light).</summary>
    Stop,

    /// <summary>Pixels of the finished picture.</summary>
    Pixel,

    /// <summary>A whole number of things.</summary>
    Count,

    /// <summary>Percent.</summary>
    Percent,
}

/// <summary>How units are written.</summary>
public static class Units
{
    /// <summary>The short sign that follows a number, such as <c>mm</c>; empty for bare numbers and counts.</summary>
    public static string Sign(this Unit unit) => unit switch
    {
        Unit.Millimetre => "mm",
        Unit.Degree => "deg",
        Unit.Second => "s",
        Unit.Stop => "stops",
        Unit.Pixel => "px",
        Unit.Percent => "%",
        _ => "",
    };
}
