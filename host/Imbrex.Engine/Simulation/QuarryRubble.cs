using System.Numerics;
using static Imbrex.Engine.Simulation.LatticeNoise;

namespace Imbrex.Engine.Simulation;

/// <summary>Broken slabs lying on one another: cells around scattered points (Worley 1996), each tilted and shaded in its own way.</summary>
internal sealed class QuarryRubble(int seed, float finest)
{
    private static readonly float[] Sizes = [0.026f, 0.0098f, 0.0041f];

    public QuarryPaint At(Vector<float> x, Vector<float> y)
    {
        Vector<float> grain = Octaves(x, y, 0.018f, finest, 0.66f, seed + 20);
        Vector<float> relief = 0.0035f * grain, tone = Vector<float>.Zero, open = Vector<float>.One, hue = Vector<float>.Zero;
        float strength = 0.7f;
        for (int i = 0; i < Sizes.Length && Sizes[i] > 3 * finest; i++, strength *= 0.7f)
        {
            (Vector<float> edge, Vector<float> tilt, Vector<int> bits) = Slab(x * (1 / Sizes[i]), y * (1.7f / Sizes[i]), seed + i);
            relief += Sizes[i] * (0.5f * Part(bits, 0) + tilt);
            tone += strength * (Part(bits, 1) - Vector.Create(0.5f));
            hue += strength * (Part(bits, 2) - Vector.Create(0.5f));
            open *= Vector.Create(0.58f) + 0.42f * Step(0.02f, Math.Max(0.16f, 3 * finest / Sizes[i]), edge);
        }
        QuarryPaint stones = QuarryPaint.Plain(0.31f, 0.32f, 0.345f)
            .Tinted(0.31f, 0.255f, 0.285f, Step(0.05f, 0.5f, hue))
            .Tinted(0.4f, 0.29f, 0.18f, 0.7f * Step(0.2f, 0.55f, -hue));
        Vector<float> brightness = Vector.Create(1.0f) + 0.8f * tone + 0.25f * grain;
        return stones.Times(Vector.Max(brightness, Vector.Create(0.2f)) * open) with { Height = relief };
    }

    // Distance between the nearest and the second nearest point, and the nearest one's slope and bits.
    private static (Vector<float> Edge, Vector<float> Tilt, Vector<int> Bits) Slab(Vector<float> x, Vector<float> y, int seed)
    {
        Vector<float> fx = Vector.Floor(x), fy = Vector.Floor(y);
        Vector<int> column = Vector.ConvertToInt32Native(fx), row = Vector.ConvertToInt32Native(fy);
        x -= fx;
        y -= fy;
        Vector<float> nearest = Vector.Create(9f), second = nearest, tilt = Vector<float>.Zero;
        Vector<int> bits = Vector<int>.Zero;
        for (int j = -1; j <= 1; j++)
        {
            for (int i = -1; i <= 1; i++)
            {
                Vector<int> cell = LatticeNoise.Bits(column + Vector.Create(i), row + Vector.Create(j), seed);
                Vector<float> dx = Part(cell, 2) + Vector.Create((float)i) - x, dy = Part(cell, 3) + Vector.Create((float)j) - y;
                // Between round and square: slabs have corners.
                Vector<float> ax = Vector.Abs(dx), ay = Vector.Abs(dy);
                Vector<float> distance = Vector.Max(ax, ay) + 0.45f * Vector.Min(ax, ay);
                Vector<int> nearer = Vector.LessThan(distance, nearest);
                second = Vector.ConditionalSelect(nearer, nearest, Vector.Min(second, distance));
                nearest = Vector.Min(nearest, distance);
                tilt = Vector.ConditionalSelect(nearer, (Part(cell, 0) - Vector.Create(0.5f)) * dx + (Part(cell, 1) - Vector.Create(0.3f)) * dy, tilt);
                bits = Vector.ConditionalSelect(nearer, cell, bits);
            }
        }
        return (second - nearest, tilt, bits);
    }
}
