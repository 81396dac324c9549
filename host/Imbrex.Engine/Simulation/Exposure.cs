using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;

namespace Imbrex.Engine.Simulation;

/// <summary>From the light of the scene to the numbers of a file: falloff, shading, gain, noise, then the sRGB curve in 16 bits.</summary>
internal sealed record Exposure
{
    /// <summary>Size of the stored frame.</summary>
    public required int Width { get; init; }
    public required int Height { get; init; }
    public required FrameGrid Grid { get; init; }

    /// <summary>The pixel of the scene on the lens axis.</summary>
    public required (double X, double Y) Axis { get; init; }

    /// <summary>Image distance in pixels, or infinity.</summary>
    public double ImageDistance { get; init; } = double.PositiveInfinity;

    /// <summary>Factor on linear R, G, B.</summary>
    public Vector3 Gain { get; init; } = Vector3.One;

    /// <summary>Linear R, G, B that reach every pixel alike, before the gain.</summary>
    public Vector3 Glare { get; init; }
    public ShadingPart? Shading { get; init; }

    /// <summary>What stands between lens and sensor, or null.</summary>
    public OpeningsView? Openings { get; init; }

    /// <summary>Degrees by which the stored pixels are turned against the sensor.</summary>
    public double BakedTurn { get; init; }
    public double ReadNoise { get; init; }
    public double FullWell { get; init; } = double.PositiveInfinity;

    /// <summary>Key of this frame's noise.</summary>
    public ulong NoiseKey { get; init; }

    /// <summary>Records a block.</summary>
    /// <param name="rgbx">Light of the block, four floats per pixel; overwritten.</param>
    /// <param name="block">Its place in the frame.</param>
    /// <param name="rgb">Receives three samples per pixel; the first is the block's first pixel.</param>
    /// <param name="stride">Samples from one row to the next.</param>
    public void Record(Span<float> rgbx, PixelBlock block, Span<ushort> rgb, int stride)
    {
        Span<Vector128<float>> light = MemoryMarshal.Cast<float, Vector128<float>>(rgbx);
        bool noisy = ReadNoise > 0 || double.IsFinite(FullWell);
        for (int row = 0; row < block.Height; row++)
        {
            Span<Vector128<float>> pixels = light.Slice(row * block.Width, block.Width);
            Attenuate(pixels, block.X, block.Y + row);
            if (noisy)
                AddNoise(pixels, block.X, block.Y + row);
            Encode(pixels, rgb.Slice(row * stride, block.Width * 3));
        }
    }

    private void Attenuate(Span<Vector128<float>> pixels, int x, int y)
    {
        Vector128<float> gain = Vector128.Create(Gain.X, Gain.Y, Gain.Z, 0), glare = gain * Vector128.Create(Glare.X, Glare.Y, Glare.Z, 0);
        (float[] quadratic, float[] across, float[] down) = (Four(Shading?.Quadratic), Four(Shading?.Across), Four(Shading?.Down));
        (Vector128<float> vq, Vector128<float> vx, Vector128<float> vy) = (Vector128.Create(quadratic), Vector128.Create(across), Vector128.Create(down));
        (double sin, double cos) = Sdk.Geometry.Angles.SinCosDegrees(-BakedTurn);
        double halfDiagonal = Math.Sqrt((double)Width * Width + (double)Height * Height) / 2;
        double perDistance = double.IsFinite(ImageDistance) ? 1 / ImageDistance : 0;
        for (int i = 0; i < pixels.Length; i++)
        {
            (double sceneX, double sceneY) = Grid.Map(x + i, y);
            (float tx, float ty) = ((float)((sceneX - Axis.X) * perDistance), (float)((sceneY - Axis.Y) * perDistance));
            // cos^4 a with tan a = r / v: reference for example Kerr 2007.
            float secantSquared = 1 + tx * tx + ty * ty;
            (double fromX, double fromY) = ((x + i - (Width - 1) / 2.0) / halfDiagonal, (y - (Height - 1) / 2.0) / halfDiagonal);
            (float qx, float qy) = ((float)(cos * fromX - sin * fromY), (float)(sin * fromX + cos * fromY));
            float passed = Openings?.Passed(sceneX, sceneY) ?? 1;
            Vector128<float> shade = Vector128<float>.One - vq * (qx * qx + qy * qy) + vx * qx + vy * qy;
            pixels[i] = pixels[i] * (gain * shade * (passed / (secantSquared * secantSquared))) + glare;
        }
    }

    private void AddNoise(Span<Vector128<float>> pixels, int x, int y)
    {
        Vector128<float> read = Vector128.Create((float)(ReadNoise * ReadNoise));
        Vector128<float> shot = Vector128.Create((float)(1 / FullWell));
        ulong key = NoiseKey + (ulong)((long)y * Width + x);
        for (int i = 0; i < pixels.Length; i++)
        {
            ulong bits = CounterNoise.Mix(key + (ulong)i);
            Vector128<float> normal = Vector128.Create(CounterNoise.QuickNormal(bits), CounterNoise.QuickNormal(bits >> 21), CounterNoise.QuickNormal(bits >> 42), 0);
            pixels[i] += normal * Vector128.Sqrt(read + shot * Vector128.Max(pixels[i], Vector128<float>.Zero));
        }
    }

    private static void Encode(ReadOnlySpan<Vector128<float>> pixels, Span<ushort> rgb)
    {
        for (int i = 0, at = 0; i < pixels.Length; i++, at += 3)
        {
            rgb[at] = SrgbCurve.Encode16(pixels[i].GetElement(0));
            rgb[at + 1] = SrgbCurve.Encode16(pixels[i].GetElement(1));
            rgb[at + 2] = SrgbCurve.Encode16(pixels[i].GetElement(2));
        }
    }

    private static float[] Four(IReadOnlyList<double>? three) => three is null ? new float[4] : [(float)three[0], (float)three[1], (float)three[2], 0];
}

/// <summary>The exit pupil as one tile's pixels see it past the openings.</summary>
/// <param name="View">The pupil.</param>
/// <param name="Stops">The openings where they stand for this tile.</param>
/// <param name="Canvas">Where pixels of the scene lie on the image plane.</param>
internal sealed record OpeningsView(PupilView View, LightStop[] Stops, Canvas Canvas)
{
    /// <summary>The part of the light that reaches a pixel of the scene.</summary>
    public float Passed(double x, double y) => (float)View.Fraction(Stops, Canvas.ToPlane(x, y));
}
