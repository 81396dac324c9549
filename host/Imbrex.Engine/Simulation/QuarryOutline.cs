using System.Numerics;
using static Imbrex.Engine.Simulation.LatticeNoise;

namespace Imbrex.Engine.Simulation;

/// <summary>The lines that part the quarry's regions, for a run of columns: they depend on the column only, so they are drawn once per block.</summary>
internal sealed class QuarryOutline
{
    private readonly int _seed;

    /// <param name="seed">Chooses the lines.</param>
    /// <param name="across">Places of the columns, units; as many as fill whole vectors.</param>
    public QuarryOutline(int seed, float[] across)
    {
        _seed = seed;
        (Across, Skyline, Turf, Heap, Shore) = (across, new float[across.Length], new float[across.Length], new float[across.Length], new float[across.Length]);
        (Upper, Lower, Floor) = (new float[across.Length], new float[across.Length], new float[across.Length]);
        for (int at = 0; at < across.Length; at += Vector<float>.Count)
        {
            var x = new Vector<float>(across, at);
            (Vector.Create(0.135f) + 0.05f * Line(x, 0.9f, 2) + 0.012f * Line(x, 0.13f, 3)).CopyTo(Skyline, at);
            (0.016f * (Vector<float>.One + Line(x, 0.11f, 11))).CopyTo(Turf, at);
            Bench(x, 0.375f, 5).CopyTo(Upper, at);
            Bench(x, 0.61f, 6).CopyTo(Lower, at);
            Bench(x, 0.8f, 7).CopyTo(Floor, at);
            (0.035f * Step(-0.2f, 0.9f, Line(x, 0.22f, 9))).CopyTo(Heap, at);
            Vector<float> fromMiddle = x + Vector.Create(0.28f);
            (Vector.Create(0.875f) + 0.13f * fromMiddle * fromMiddle + 0.012f * Line(x, 0.3f, 15)).CopyTo(Shore, at);
        }
    }

    public float[] Across { get; }

    /// <summary>Where the sky ends.</summary>
    public float[] Skyline { get; }

    /// <summary>How thick the turf lies on top.</summary>
    public float[] Turf { get; }

    /// <summary>Feet of the upper and lower faces, and of the lowest one, where the floor begins.</summary>
    public float[] Upper { get; }
    public float[] Lower { get; }
    public float[] Floor { get; }

    /// <summary>How high loose stone is heaped against the faces.</summary>
    public float[] Heap { get; }

    /// <summary>Where the pool begins.</summary>
    public float[] Shore { get; }

    private Vector<float> Bench(Vector<float> x, float at, int line) => Vector.Create(at) + 0.022f * Line(x, 0.55f, line) + 0.006f * Line(x, 0.06f, line + 20);

    private Vector<float> Line(Vector<float> x, float wave, int which) => Value(x * (1 / wave), Vector.Create(which * 0.37f), _seed + which);
}
