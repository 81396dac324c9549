using System.Numerics;
using static Imbrex.Engine.Simulation.LatticeNoise;

namespace Imbrex.Engine.Simulation;

/// <summary>A worked face of bedded slate: beds that dip, joints across them that part the beds into blocks at every scale.</summary>
/// <param name="seed">Chooses the rock.</param>
/// <param name="finest">Shortest wavelength worth drawing, units.</param>
internal sealed class QuarryRock(int seed, float finest)
{
    private static readonly (float Sin, float Cos) Dip = MathF.SinCos(0.23f);

    // Height of a course of blocks, units; every course is parted further by the next.
    private static readonly float[] Courses = [0.165f, 0.058f, 0.021f, 0.0078f, 0.0029f];

    public QuarryPaint At(Vector<float> x, Vector<float> y)
    {
        Vector<float> warp = Octaves(x, y, 0.31f, 0.1f, 0.5f, seed);
        Vector<float> along = x * Dip.Cos + y * Dip.Sin + 0.012f * warp;
        Vector<float> across = y * Dip.Cos - x * Dip.Sin + 0.022f * warp;

        (Vector<float> relief, Vector<float> tone, Vector<float> open) = Blocks(along, across);
        Vector<float> beds = Beds(along, across);
        Vector<float> grain = Octaves(x, y, 0.04f, finest, 0.62f, seed + 40);
        Vector<float> hue = Value(x * 2.3f, across * 9f, seed + 60) + 0.5f * beds;

        QuarryPaint slate = QuarryPaint.Plain(0.185f, 0.205f, 0.245f)
            .Tinted(0.215f, 0.175f, 0.215f, Step(0.0f, 0.7f, hue))
            .Tinted(0.175f, 0.225f, 0.2f, Step(0.1f, 0.8f, -hue));
        // Iron washes down from the joints.
        Vector<float> rust = Step(0.35f, 1.0f, Octaves(x * 5f, y, 0.3f, 0.06f, 0.7f, seed + 70) + 0.25f * tone);
        slate = slate.Tinted(0.36f, 0.22f, 0.115f, 0.75f * rust);
        Vector<float> brightness = Vector.Create(1.0f) + 0.55f * tone + 0.22f * beds + 0.22f * grain;
        return slate.Times(Vector.Max(brightness, Vector.Create(0.25f)) * open) with { Height = relief + 0.0035f * beds + 0.0055f * grain };
    }

    // Returns the relief, how light each block is (mean 0) and how much light its joints let through.
    private (Vector<float> Relief, Vector<float> Tone, Vector<float> Open) Blocks(Vector<float> along, Vector<float> across)
    {
        Vector<float> relief = Vector<float>.Zero, tone = Vector<float>.Zero, open = Vector<float>.One;
        float strength = 0.5f;
        for (int i = 0; i < Courses.Length && Courses[i] > 1.4f * finest; i++, strength *= 0.82f)
        {
            float course = Courses[i];
            Vector<float> v = across * (1 / course);
            Vector<float> row = Vector.Floor(v);
            Vector<int> rows = Vector.ConvertToInt32Native(row);
            Vector<int> rowBits = Bits(rows, rows, seed + 20 + i);
            // Joints lean, each course its own way, and stand at uneven distances.
            Vector<float> u = along * (0.42f / course) * (Vector.Create(0.6f) + Part(rowBits, 0)) + 13f * Part(rowBits, 1)
                + 0.6f * (Part(rowBits, 2) - Vector.Create(0.5f)) * (v - row);
            u += 0.42f * Value(u * 0.9f, row * 3.7f, seed + 30 + i);
            Vector<float> column = Vector.Floor(u);
            Vector<int> bits = Bits(Vector.ConvertToInt32Native(column), rows, seed + 25 + i);
            Vector<float> fu = u - column - Vector.Create(0.5f), fv = v - row - Vector.Create(0.5f);
            Vector<float> tilt = (Part(bits, 1) - Vector.Create(0.5f)) * fu * 2.4f + (Part(bits, 2) - Vector.Create(0.6f)) * fv * 1.2f;
            relief += course * (0.45f * Part(bits, 0) + tilt);
            tone += strength * (Part(bits, 3) - Vector.Create(0.5f));

            float gap = Math.Max(0.035f * course, 0.5f * finest) / course;
            Vector<float> fromJoint = (Vector.Create(0.5f) - Vector.Abs(fu)) * 2.2f, fromBed = Vector.Create(0.5f) - Vector.Abs(fv);
            Vector<float> joint = Vector.Min(Step(0.2f * gap, 2 * gap, fromJoint), Step(0.2f * gap, 1.6f * gap, fromBed));
            open *= Vector<float>.One - (0.62f - 0.06f * i) * (Vector<float>.One - joint) * (Vector.Create(0.35f) + 0.65f * Part(bits, 0));
        }
        return (relief, tone, open);
    }

    // Fine layers: long along the bed, short across it.
    private Vector<float> Beds(Vector<float> along, Vector<float> across) => Octaves(along * 0.13f, across, 0.014f, finest, 0.7f, seed + 50);
}
