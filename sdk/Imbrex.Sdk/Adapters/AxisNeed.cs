namespace Imbrex.Sdk.Adapters;

/// <summary>An axis that an adapter geometry asks of a kit.</summary>
/// <param name="Words">What it moves, in words that a message can go on with: <c>the travel along x</c>.</param>
/// <param name="IsPivot">Whether it turns: the kit then gives it in degrees.</param>
public sealed record AxisNeed(string Words, bool IsPivot = false);
