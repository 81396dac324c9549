using System.Numerics;

namespace Imbrex.Engine.Simulation;

/// <summary>One wave of an <see cref="AnalyticScene"/>: amplitude * cos(2 pi (fx x + fy y) + phase).</summary>
/// <param name="Fx">Cycles per pixel across.</param>
/// <param name="Fy">Cycles per pixel down.</param>
/// <param name="Phase">Radians.</param>
/// <param name="Amplitude">Amplitudes of linear R, G, B.</param>
public readonly record struct Wave(double Fx, double Fy, double Phase, Vector3 Amplitude);

/// <summary>A sum of plane waves on mid grey: known in closed form at every real position, so that resampling can be judged.</summary>
public sealed class AnalyticScene(float grey, IReadOnlyList<Wave> waves) : IScene
{
    /// <summary>Waves in all directions, with periods spread evenly in the logarithm.</summary>
    /// <param name="seed">The same seed gives the same waves.</param>
    /// <param name="count">Number of waves; together they never leave 0.1 to 0.7 of full light.</param>
    /// <param name="shortest">Shortest period, px; at least 2.</param>
    /// <param name="longest">Longest period, px.</param>
    public static AnalyticScene Create(long seed, int count, double shortest, double longest)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(shortest, 2);
        ArgumentOutOfRangeException.ThrowIfLessThan(longest, shortest);
        var waves = new Wave[count];
        for (int i = 0; i < count; i++)
        {
            double period = shortest * Math.Pow(longest / shortest, (i + 0.5) / count);
            (double sin, double cos) = Math.SinCos(2 * Math.PI * CounterNoise.Uniform(seed, i, 0));
            var amplitude = new Vector3((float)CounterNoise.Uniform(seed, i, 1), (float)CounterNoise.Uniform(seed, i, 2), (float)CounterNoise.Uniform(seed, i, 3));
            waves[i] = new(cos / period, sin / period, 2 * Math.PI * CounterNoise.Uniform(seed, i, 4), 0.3f / count * (Vector3.One + amplitude) / 2);
        }
        return new(0.4f, waves);
    }

    /// <summary>The linear light at a real position.</summary>
    public (double R, double G, double B) At(double x, double y)
    {
        (double r, double g, double b) = (grey, grey, grey);
        foreach (Wave wave in waves)
        {
            double value = Math.Cos(2 * Math.PI * (wave.Fx * x + wave.Fy * y) + wave.Phase);
            (r, g, b) = (r + value * wave.Amplitude.X, g + value * wave.Amplitude.Y, b + value * wave.Amplitude.Z);
        }
        return (r, g, b);
    }

    /// <inheritdoc/>
    public void Render(PixelBlock block, Span<float> rgbx)
    {
        var row = new Vector3[block.Width];
        for (int y = 0, at = 0; y < block.Height; y++)
        {
            row.AsSpan().Fill(new Vector3(grey));
            foreach (Wave wave in waves)
            {
                // From pixel to pixel a wave is a pointer that turns by a fixed angle: started exactly in every row, it stays exact to 1e-12.
                Complex pointer = Complex.FromPolarCoordinates(1, 2 * Math.PI * (wave.Fx * block.X + wave.Fy * (block.Y + y)) + wave.Phase);
                Complex turn = Complex.FromPolarCoordinates(1, 2 * Math.PI * wave.Fx);
                for (int x = 0; x < row.Length; x++, pointer *= turn)
                    row[x] += (float)pointer.Real * wave.Amplitude;
            }
            for (int x = 0; x < row.Length; x++, at += 4)
                (rgbx[at], rgbx[at + 1], rgbx[at + 2], rgbx[at + 3]) = (row[x].X, row[x].Y, row[x].Z, 0);
        }
    }
}
