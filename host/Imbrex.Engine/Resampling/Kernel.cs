using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Resampling;

/// <summary>
/// The interpolation kernel: for every phase the six weights whose response is nearest, in least squares over all frequencies up to
/// <see cref="Band"/>, to a pure shift (after Oetken, Parks and Schüßler 1975, from memory), among those that keep constants and ramps
/// exactly. Tabulated at 256 phases with first and second derivatives, so that a Taylor step from the nearest phase gives the weights of
/// any phase, for eight neighbouring pixels at once.
/// </summary>
/// <remarks>
/// A sinc under a wider sinc, of as many taps, moves ramps by up to 0.020 px, and with them all coarse detail; every tile would be measured
/// and drawn with that bias. Here the shift stays below 0.0015 px up to half of Nyquist (measured in the tests).
/// </remarks>
internal static class Kernel
{
    /// <summary>Taps in each direction; the first tap of position x lies at floor(x) - 2.</summary>
    public const int Taps = 6;

    /// <summary>Pixels that must exist on either side of a sampled position.</summary>
    public const int Margin = 3;

    /// <summary>Number of tabulated phases.</summary>
    public const int Phases = 256;

    /// <summary>Largest distance from a tabulated phase at which the Taylor step is used; the error of a weight stays below 2e-4 there.</summary>
    public const float Reach = 0.06f;

    /// <summary>Highest frequency that counts, cycles per pixel; beyond it photographs through a lens hold little.</summary>
    private const double Band = 0.3;

    private const int FirstTap = 1 - Taps / 2;

    private static readonly Matrix<double> Solution = SolveOnce();

    /// <summary>Values of a phase in <see cref="Taylor"/>.</summary>
    public const int PhaseLength = 3 * Taps;

    /// <summary>For every phase and tap the weight, its first derivative and half its second.</summary>
    public static readonly float[] Taylor = new float[(Phases + 1) * PhaseLength];

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
                Span<float> taylor = Taylor.AsSpan(phase * PhaseLength + 3 * tap, 3);
                taylor[0] = (float)at[tap];
                taylor[1] = (float)((after[tap] - before[tap]) / (2 * Step));
                taylor[2] = (float)((after[tap] - 2 * at[tap] + before[tap]) / (2 * Step * Step));
            }
        }
    }

    /// <summary>The six weights of a fraction in [0, 1], in double precision.</summary>
    public static void Exact(double fraction, Span<double> weights)
    {
        Span<double> right = stackalloc double[Taps + 2];
        for (int tap = 0; tap < Taps; tap++)
            right[tap] = Overlap(fraction - (FirstTap + tap));
        (right[Taps], right[Taps + 1]) = (1, fraction);
        for (int tap = 0; tap < Taps; tap++)
        {
            weights[tap] = 0;
            for (int i = 0; i < right.Length; i++)
                weights[tap] += Solution[tap, i] * right[i];
        }
    }

    /// <summary>The six weights of a fraction in [0, 1], by a Taylor step from the nearest tabulated phase.</summary>
    public static void Tabulated(double fraction, Span<double> weights)
    {
        int phase = (int)Math.Round(fraction * Phases);
        double d = fraction - phase / (double)Phases;
        ReadOnlySpan<float> taylor = Taylor.AsSpan(phase * PhaseLength, PhaseLength);
        for (int tap = 0; tap < Taps; tap++)
            weights[tap] = taylor[3 * tap] + d * (taylor[3 * tap + 1] + d * taylor[3 * tap + 2]);
    }

    // The inverse of the normal equations with two Lagrange multipliers: the weights sum to 1, and their centre of mass is the fraction.
    private static Matrix<double> SolveOnce()
    {
        var system = Matrix<double>.Build.Dense(Taps + 2, Taps + 2);
        for (int i = 0; i < Taps; i++)
        {
            for (int j = 0; j < Taps; j++)
                system[i, j] = Overlap(i - j);
            system[i, Taps] = system[Taps, i] = 1;
            system[i, Taps + 1] = system[Taps + 1, i] = FirstTap + i;
        }
        return system.Inverse();
    }

    // The integral of cos(2 pi f x) over the band.
    private static double Overlap(double x) => Math.Abs(x) < 1e-9 ? Band : Math.Sin(2 * Math.PI * Band * x) / (2 * Math.PI * x);
}
