namespace Imbrex.Engine;

/// <summary>How far a stage of long work is.</summary>
/// <param name="Stage">The stage in a word or two, such as <c>registering</c>.</param>
/// <param name="Done">The done part, 0 to 1.</param>
public readonly record struct StageProgress(string Stage, double Done);
