using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Hosting.Planning;

/// <summary>The largest format of a shape that a layout fills in so many frames.</summary>
/// <remarks>
/// From the most that as many tiles could hold the format is made smaller, first by steps, until the layout is accepted; then the place between is halved. A layout may
/// do for some format and fail for a slightly smaller one: what is found is proven to do, not that nothing between does.
/// </remarks>
internal static class LargestInFrames
{
    private const double Step = 0.97;
    private const double LeastStep = 0.02;
    private const double LeastPart = 0.01;

    /// <summary>The plan for the largest format found, or the plan refused for the smallest tried.</summary>
    /// <param name="plan">Plans for a format.</param>
    /// <param name="sensor">The sensor.</param>
    /// <param name="shape">Any size of the wanted shape.</param>
    /// <param name="frames">Most frames.</param>
    public static PlanResult Find(Func<PlaneSize, PlanResult> plan, ISensor sensor, PlaneSize shape, int frames)
    {
        double most = Math.Sqrt(frames * sensor.Size().Area / shape.Area), tooLarge = most, size = most;
        PlanResult? best = null;
        for (; size > LeastPart * most && (best = Accepted(size)) is null; size *= Step)
            tooLarge = size;
        if (best is null)
            return plan(Of(size));
        while ((tooLarge - size) * Math.Max(shape.Width, shape.Height) > LeastStep)
        {
            double middle = (size + tooLarge) / 2;
            if (Accepted(middle) is { } better)
                (size, best) = (middle, better);
            else
                tooLarge = middle;
        }
        return best;

        PlanResult? Accepted(double size) => Try(size) is { Verdict: { Accepted: true } verdict } result && verdict.Frames <= frames ? result : null;

        PlanResult? Try(double size) => Of(size) is { ShortSide: > 0 } format ? plan(format) : null;

        // Down to hundredths along the long side, so that the format can be typed in again.
        PlaneSize Of(double size)
        {
            double factor = Math.Floor(100 * size * Math.Max(shape.Width, shape.Height)) / 100 / Math.Max(shape.Width, shape.Height);
            return new(Math.Round(factor * shape.Width, 6), Math.Round(factor * shape.Height, 6));
        }
    }
}
