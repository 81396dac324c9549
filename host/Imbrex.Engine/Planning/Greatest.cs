namespace Imbrex.Engine.Planning;

/// <summary>The greatest number up to a limit that passes, where everything below a passing number passes too.</summary>
internal static class Greatest
{
    private const double Resolution = 1e-6;

    /// <summary>Halves the interval down to 1e-6; 0 where nothing passes.</summary>
    public static double Passing(double limit, Func<double, bool> passes) => Passing(0, limit, passes);

    /// <summary>Halves the interval down to 1e-6; the floor, which is not tried, where nothing else passes.</summary>
    public static double Passing(double floor, double limit, Func<double, bool> passes)
    {
        if (passes(limit))
            return limit;
        (double low, double high) = (floor, limit);
        while (high - low > Resolution)
        {
            double middle = (low + high) / 2;
            (low, high) = passes(middle) ? (middle, high) : (low, middle);
        }
        return Lengths.Down(low);
    }
}
