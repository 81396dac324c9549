using Imbrex.Engine.Simulation;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>
/// A wall of bricks that are all of one size, with a window at every so many: each brick and window has a shade of its own, and a little grain.
/// Edges are three pixels wide, so that the lens's image holds nothing finer than a sensor records.
/// </summary>
internal sealed class BrickScene(int width, int height, double variety) : IScene
{
    private const double Joint = 4;

    public void Render(PixelBlock block, Span<float> rgbx)
    {
        for (int i = 0; i < block.Area; i++)
        {
            (int x, int y) = (block.X + i % block.Width, block.Y + i / block.Width);
            int row = (int)Math.Floor((double)y / height);
            double inX = x + (row & 1) * width / 2.0;
            int column = (int)Math.Floor(inX / width);
            double edge = Math.Min(Math.Min(inX - (double)column * width, (column + 1.0) * width - inX), Math.Min(y - (double)row * height, (row + 1.0) * height - y));
            double brick = 0.25 + variety * (Chance(column, row) - 0.5) + 0.04 * Grain(x, y), joint = 0.5 + 0.03 * Grain(x, y);
            double part = Math.Clamp((edge - Joint) / 3 + 0.5, 0, 1);
            float light = (float)(joint + (brick - joint) * part * part * (3 - 2 * part));
            (rgbx[4 * i], rgbx[4 * i + 1], rgbx[4 * i + 2]) = (light, light * 0.8f, light * 0.6f);
        }
    }

    // Cubic between independent values on a grid of 5 px.
    private static double Grain(int x, int y)
    {
        const int Step = 5;
        (int ix, int iy) = ((int)Math.Floor(x / (double)Step), (int)Math.Floor(y / (double)Step));
        (double fx, double fy) = (Ease(x / (double)Step - ix), Ease(y / (double)Step - iy));
        double upper = Chance(ix + 9000, iy) * (1 - fx) + Chance(ix + 9001, iy) * fx, lower = Chance(ix + 9000, iy + 1) * (1 - fx) + Chance(ix + 9001, iy + 1) * fx;
        return upper * (1 - fy) + lower * fy - 0.5;
    }

    private static double Ease(double t) => t * t * (3 - 2 * t);

    // A fixed number from 0 to 1 for a pair of whole numbers.
    private static double Chance(int x, int y)
    {
        uint h = unchecked((uint)x * 0x9E3779B1u ^ (uint)y * 0x85EBCA77u);
        h ^= h >> 15;
        h *= 0x2C1B3C6Du;
        h ^= h >> 12;
        h *= 0x297A2D39u;
        h ^= h >> 15;
        return h / (double)uint.MaxValue;
    }
}
