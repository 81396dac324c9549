using System.Numerics;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>Draws the faults of a take from their statistics.</summary>
internal static class ShotFaults
{
    private const long Position = 1, Rotation = 3, Gain = 4, Colour = 5, Cast = 8;

    /// <summary>How far a tile stands from its place, and how askew.</summary>
    public static (PlanePoint Shift, double RotationDegrees) Pose(CameraFaults faults, int tile)
    {
        double x = Limited(faults.Seed, tile, Position, faults.PositionSdMm, faults.PositionMaxMm);
        double y = Limited(faults.Seed, tile, Position + 1, faults.PositionSdMm, faults.PositionMaxMm);
        return (new(x, y), Limited(faults.Seed, tile, Rotation, faults.RotationSdDeg, faults.RotationMaxDeg));
    }

    /// <summary>The factor on each frame's linear R, G, B; geometric mean over the frames 1.</summary>
    public static Vector3[] Gains(CameraFaults faults, int tiles)
    {
        var stops = new Vector3[tiles];
        Vector3 mean = Vector3.Zero;
        for (int i = 0; i < tiles; i++)
        {
            var colour = new Vector3(Draw(faults.Seed, i, Colour), Draw(faults.Seed, i, Colour + 1), Draw(faults.Seed, i, Colour + 2));
            stops[i] = (float)faults.GainSdStops * Draw(faults.Seed, i, Gain) * Vector3.One + (float)faults.GainColourSdStops * colour;
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
