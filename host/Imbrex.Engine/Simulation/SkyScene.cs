using System.Numerics;

namespace Imbrex.Engine.Simulation;

/// <summary>Another scene under a cloudless sky: above a gentle skyline there is a smooth gradient and nothing else that could be matched.</summary>
/// <param name="scene">What lies below.</param>
/// <param name="widthPx">Pixels of the canvas across.</param>
/// <param name="heightPx">Pixels of the canvas down.</param>
/// <param name="part">How much of the canvas is sky, in the mean of its columns, 0 to 1.</param>
public sealed class SkyScene(IScene scene, int widthPx, int heightPx, double part = 0.4) : IScene
{
    private const float Edge = 1.75f;

    private static readonly Vector3 Zenith = new(0.2f, 0.36f, 0.68f), Haze = new(0.55f, 0.63f, 0.72f);

    /// <summary>The row at which the sky ends in a column.</summary>
    public double Skyline(double x) => heightPx * (part + 0.012 * Math.Sin(2 * Math.PI * 1 * x / widthPx) + 0.006 * Math.Sin(2 * Math.PI * 3 * x / widthPx + 1));

    /// <inheritdoc/>
    public void Render(PixelBlock block, Span<float> rgbx)
    {
        scene.Render(block, rgbx);
        for (int column = 0; column < block.Width; column++)
        {
            double skyline = Skyline(block.X + column);
            for (int row = 0; row < block.Height; row++)
            {
                float below = Math.Clamp((float)(block.Y + row - skyline + Edge) / (2 * Edge), 0, 1);
                if (below == 1)
                    break;
                below = below * below * (3 - 2 * below);
                Vector3 sky = Vector3.Lerp(Zenith, Haze, (float)Math.Pow(Math.Clamp((block.Y + row) / (heightPx * part), 0, 1), 1.5));
                Span<float> pixel = rgbx.Slice((row * block.Width + column) * 4, 4);
                (pixel[0], pixel[1], pixel[2]) = (sky.X + below * (pixel[0] - sky.X), sky.Y + below * (pixel[1] - sky.Y), sky.Z + below * (pixel[2] - sky.Z));
            }
        }
    }
}
