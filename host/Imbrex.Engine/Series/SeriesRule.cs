namespace Imbrex.Engine.Series;

/// <summary>How several frames of one tile become one.</summary>
public enum SeriesRule
{
    /// <summary>
    /// By what they are: brackets where their light differs by more than half a stop, otherwise the median of three or more and the mean of two.
    /// </summary>
    ByContent,

    /// <summary>The median: who walked through some of them is gone.</summary>
    Median,

    /// <summary>The mean: the least noise.</summary>
    Mean,

    /// <summary>Each part of the scene from the exposures that recorded it best.</summary>
    Brackets,
}
