using System.Numerics;
using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>Draws the faults of a take from their statistics.</summary>
internal static class ShotFaults
{
    private const long Position = 1, Rotation = 3, Gain = 4, Colour = 5, Cast = 8, Scale = 11, Move = 12, Turn = 14;

    // Keeps the draws of a tile's later frames apart from all others.
    private const long NextExposure = 1_000_000;

    /// <summary>How far a tile stands from its place, how askew, and at which scale.</summary>
    public static (PlanePoint Shift, double RotationDegrees, double Scale) Pose(CameraFaults faults, int tile)
    {
        double x = Limited(faults.Seed, tile, Position, faults.PositionSdMm, faults.PositionMaxMm);
        double y = Limited(faults.Seed, tile, Position + 1, faults.PositionSdMm, faults.PositionMaxMm);
        double scale = faults.ScaleSd == 0 ? 1 : 1 + faults.ScaleSd * CounterNoise.Normal(faults.Seed, tile, Scale);
        return (new(x, y), Limited(faults.Seed, tile, Rotation, faults.RotationSdDeg, faults.RotationMaxDeg), scale);
    }

    /// <summary>How far the body moved between a tile's first frame and a later one: canvas px and degrees.</summary>
    /// <param name="halfDiagonal">From the sensor's centre to its corner, px.</param>
    public static (double X, double Y, double RotationDegrees) Jitter(CameraFaults faults, int tile, int exposure, double halfDiagonal)
    {
        if (exposure == 0 || faults.Series.JitterSdPx == 0)
            return default;
        double Of(long purpose) => faults.Series.JitterSdPx * CounterNoise.Normal(faults.Seed, tile, purpose + NextExposure * exposure);
        return (Of(Move), Of(Move + 1), 0.5 * Of(Turn) / halfDiagonal * 180 / Math.PI);
    }

    /// <summary>The factor on each frame's linear R, G, B; geometric mean over the frames 1.</summary>
    public static Vector3[] Gains(CameraFaults faults, int tiles)
    {
        var stops = new Vector3[tiles];
        Vector3 mean = Vector3.Zero;
        for (int i = 0; i < tiles; i++)
        {
            var colour = new Vector3(Draw(faults.Seed, i, Colour), Draw(faults.Seed, i, Colour + 1), Draw(faults.Seed, i, Colour + 2));
            float time = tiles == 1 ? 0 : i / (tiles - 1f) - 0.5f;
            Vector3 drift = time * ((float)faults.DriftStops * Vector3.One + (float)faults.DriftColourStops * new Vector3(0.5f, 0, -0.5f));
            stops[i] = (float)faults.GainSdStops * Draw(faults.Seed, i, Gain) * Vector3.One + (float)faults.GainColourSdStops * colour + drift;
            mean += stops[i] / tiles;
        }
        return Array.ConvertAll(stops, s => new Vector3(float.Exp2(s.X - mean.X), float.Exp2(s.Y - mean.Y), float.Exp2(s.Z - mean.Z)));
    }

    /// <summary>The shading that is fixed to the sensor.</summary>
    public static ShadingPart Shading(CameraFaults faults)
    {
        // A stop is a factor e^(ln 2): for small casts the factor's change is ln 2 times the stops.
        double cast = faults.CastSdStops * Math.Log(2);
        double[] Terms(int which, double all) => [.. Enumerable.Range(0, 3).Select(c => all + cast * Draw(faults.Seed, which, Cast + c))];
        return new ShadingPart { Quadratic = Terms(0, 1 - double.Exp2(-faults.ShadingStops)), Across = Terms(1, 0), Down = Terms(2, 0) };
    }

    /// <summary>Whether each tile has glare: those that are not in the half nearest to the lens axis, the earlier first where two are as near.</summary>
    public static bool[] Outer(IReadOnlyList<TilePart> tiles)
    {
        int[] byDistance = [.. Enumerable.Range(0, tiles.Count).OrderBy(i => tiles[i].XMm * tiles[i].XMm + tiles[i].YMm * tiles[i].YMm).ThenBy(i => i)];
        var outer = new bool[tiles.Count];
        foreach (int tile in byDistance.Skip((tiles.Count + 1) / 2))
            outer[tile] = true;
        return outer;
    }

    /// <summary>The scene's mean light over the canvas, from 64 x 64 pixels spread evenly.</summary>
    public static Vector3 MeanLight(IScene scene, int width, int height)
    {
        const int Side = 64;
        Span<float> pixel = stackalloc float[4];
        Vector3 sum = Vector3.Zero;
        for (int i = 0; i < Side * Side; i++)
        {
            scene.Render(new((int)((i % Side + 0.5) * width / Side), (int)((i / Side + 0.5) * height / Side), 1, 1), pixel);
            sum += new Vector3(pixel);
        }
        return sum / (Side * Side);
    }

    private static float Draw(long seed, long tile, long purpose) => (float)CounterNoise.Normal(seed, tile, purpose);

    // A normal number of which what lies beyond the limit is drawn again; after some tries the limit is far inside the spread.
    private static double Limited(long seed, int tile, long purpose, double deviation, double limit)
    {
        for (int attempt = 0; attempt < 64; attempt++)
        {
            double error = deviation * CounterNoise.Normal(seed, tile, purpose + 1000L * attempt);
            if (Math.Abs(error) <= limit)
                return error;
        }
        return limit * (2 * CounterNoise.Uniform(seed, tile, purpose) - 1);
    }
}
