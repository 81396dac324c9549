namespace Imbrex.Engine.Simulation;

/// <summary>
/// Random numbers that depend only on where they are asked for, not on the order of asking: any number of threads, in any
/// order, see the same ones.
/// </summary>
internal static class CounterNoise
{
    private const int NormalSteps = 4096;

    private static readonly float[] NormalTable = BuildNormalTable();

    /// <summary>64 well-mixed bits for a key: the finaliser of SplitMix64 (Steele, Lea and Flood 2014; constants from memory).</summary>
    public static ulong Mix(ulong key)
    {
        key += 0x9E3779B97F4A7C15;
        key = (key ^ (key >> 30)) * 0xBF58476D1CE4E5B9;
        key = (key ^ (key >> 27)) * 0x94D049BB133111EB;
        return key ^ (key >> 31);
    }

    /// <summary>64 bits for a seed and two counters.</summary>
    public static ulong Bits(long seed, long a, long b) => Mix(Mix(Mix((ulong)seed) + (ulong)a) + (ulong)b);

    /// <summary>Evenly spread in 0 to 1, 1 excluded.</summary>
    public static double Uniform(long seed, long a, long b) => (Bits(seed, a, b) >> 11) * (1.0 / (1L << 53));

    /// <summary>Normally spread, mean 0, standard deviation 1.</summary>
    public static double Normal(long seed, long a, long b) => MathNet.Numerics.Distributions.Normal.InvCDF(0, 1, Uniform(seed, a, b) + 0.5 / (1L << 53));

    /// <summary>Normal numbers, |n| below about 3.8, from 21 bits: three fit into one draw of <see cref="Mix"/>.</summary>
    public static float QuickNormal(ulong bits)
    {
        int at = (int)(bits & 0x1FFFFF);
        int step = at >> 9;
        float low = NormalTable[step];
        return low + (at & 0x1FF) * (1f / 512) * (NormalTable[step + 1] - low);
    }

    // The inverse distribution, straight between entries and cut at its ends; scaled so that the variance is 1 all the same.
    private static float[] BuildNormalTable()
    {
        var table = new double[NormalSteps + 1];
        for (int i = 0; i <= NormalSteps; i++)
            table[i] = MathNet.Numerics.Distributions.Normal.InvCDF(0, 1, Math.Clamp(i / (double)NormalSteps, 0.3 / NormalSteps, 1 - 0.3 / NormalSteps));
        double variance = 0;
        for (int i = 0; i < NormalSteps; i++)
            variance += (table[i] * table[i] + table[i] * table[i + 1] + table[i + 1] * table[i + 1]) / 3 / NormalSteps;
        return Array.ConvertAll(table, value => (float)(value / Math.Sqrt(variance)));
    }
}
