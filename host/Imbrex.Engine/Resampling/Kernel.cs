namespace Imbrex.Engine.Resampling;

/// <summary>
/// The interpolation kernel: sinc windowed by the middle lobe of a wider sinc (Duchon 1979, "Lanczos filtering", from memory), six taps,
/// weights summing to 1. Tabulated at 256 phases with first and second derivatives, so that a Taylor step from the nearest phase gives
/// the weights of any phase, for eight neighbouring pixels at once.
/// </summary>
internal static class Kernel
{
    /// <summary>Taps in each direction; the first tap of position x lies at floor(x) - 2.</summary>
    public const int Taps = 6;

    /// <summary>Pixels that must exist on either side of a sampled position.</summary>
    public const int Margin = 3;

    /// <summary>Number of tabulated phases.</summary>
    public const int Phases = 256;

    /// <summary>Largest distance from a tabulated phase at which the Taylor step is used; the error of a weight stays below 4e-4 there.</summary>
    public const float Reach = 0.06f;

    private const int HalfWidth = Taps / 2;

    /// <summary>Weights, their first derivative and half their second, [phase * Taps + tap].</summary>
    public static readonly float[] Value = new float[(Phases + 1) * Taps], Slope = new float[(Phases + 1) * Taps], Bend = new float[(Phases + 1) * Taps];

    static Kernel()
    {
        const double Step = 1e-4;
        Span<double> before = stackalloc double[Taps], at = stackalloc double[Taps], after = stackalloc double[Taps];
        for (int phase = 0; phase <= Phases; phase++)
        {
            double x = phase / (double)Phases;
            Exact(x - Step, before);
            Exact(x, at);
            Exact(x + Step, after);
            for (int tap = 0; tap < Taps; tap++)
            {
                int i = phase * Taps + tap;
                Value[i] = (float)at[tap];
                Slope[i] = (float)((after[tap] - before[tap]) / (2 * Step));
                Bend[i] = (float)((after[tap] - 2 * at[tap] + before[tap]) / (2 * Step * Step));
            }
        }
    }

    /// <summary>The six weights of a fraction in [0, 1], in double precision.</summary>
    public static void Exact(double fraction, Span<double> weights)
    {
        double sum = 0;
        for (int tap = 0; tap < Taps; tap++)
        {
            double x = fraction - (tap - (HalfWidth - 1));
            weights[tap] = Math.Abs(x) >= HalfWidth ? 0 : Sinc(x) * Sinc(x / HalfWidth);
            sum += weights[tap];
        }
        for (int tap = 0; tap < Taps; tap++)
            weights[tap] /= sum;
    }

    private static double Sinc(double x) => Math.Abs(x) < 1e-9 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x);
}
