using System.Numerics;

namespace Imbrex.Engine.Simulation;

/// <summary>A town at night: next to no light between the lamps, a faint unevenness of walls and sky, and lamps that are hardly larger than a pixel, some with a halo.</summary>
/// <param name="seed">Chooses it.</param>
/// <param name="spacing">Side of the cells of which three in ten hold a lamp, px.</param>
public sealed class NightScene(int seed, int spacing = 40) : DrawnScene
{
    // No lamp reaches further than this.
    private const int Reach = 14;

    private readonly int _spacing = spacing >= 2 * Reach ? spacing : throw new ArgumentOutOfRangeException(nameof(spacing), spacing, $"Lamps stand at least {2 * Reach} px apart.");

    /// <inheritdoc/>
    protected override void Draw(PixelBlock block, Span<float> rgbx)
    {
        Span<float> dark = stackalloc float[Vector<float>.Count];
        for (int row = 0, at = 0; row < block.Height; row++)
        {
            for (int column = 0; column < block.Width; column += dark.Length)
            {
                Vector<float> x = Vector.Create((float)(block.X + column)) + Vector.CreateSequence(0f, 1f);
                Dark(x, Vector.Create((float)(block.Y + row))).CopyTo(dark);
                for (int i = 0; i < dark.Length && column + i < block.Width; i++, at += 4)
                    (rgbx[at], rgbx[at + 1], rgbx[at + 2], rgbx[at + 3]) = (dark[i], 0.95f * dark[i], 1.1f * dark[i], 0);
            }
        }
        (int left, int right) = (Cell(block.X - Reach), Cell(block.X + block.Width + Reach));
        (int top, int bottom) = (Cell(block.Y - Reach), Cell(block.Y + block.Height + Reach));
        for (int y = top; y <= bottom; y++)
        {
            for (int x = left; x <= right; x++)
                Lamp(x, y, block, rgbx);
        }
    }

    private Vector<float> Dark(Vector<float> x, Vector<float> y) =>
        Vector.Max(Vector.Create(0.0045f) + 0.0022f * LatticeNoise.Octaves(x, y, 160, 2.9f, 0.75f, seed), Vector.Create(0.0003f));

    private int Cell(int at) => (int)Math.Floor(at / (double)_spacing);

    private void Lamp(int column, int row, PixelBlock block, Span<float> rgbx)
    {
        double Draw(int which) => CounterNoise.Uniform(seed, column * 0x10001L + row, which);
        if (Draw(0) > 0.3)
            return;
        (double x, double y) = ((column + Draw(1)) * _spacing, (row + Draw(2)) * _spacing);
        double strength = 0.75 * Math.Pow(Draw(3), 2) + 0.04, sigma = 0.9 + 0.9 * Draw(4), halo = Draw(5) > 0.6 ? 0.05 : 0;
        var colour = new Vector3(1, (float)(0.62 + 0.36 * Draw(6)), (float)(0.3 + 0.6 * Draw(6)));
        (int x0, int x1) = (Math.Max(block.X, (int)Math.Ceiling(x) - Reach), Math.Min(block.X + block.Width, (int)Math.Floor(x) + Reach + 1));
        (int y0, int y1) = (Math.Max(block.Y, (int)Math.Ceiling(y) - Reach), Math.Min(block.Y + block.Height, (int)Math.Floor(y) + Reach + 1));
        for (int py = y0; py < y1; py++)
        {
            for (int px = x0; px < x1; px++)
            {
                double square = (px - x) * (px - x) + (py - y) * (py - y), edge = 1 - square / (Reach * Reach);
                if (edge <= 0)
                    continue;
                float light = (float)(strength * edge * edge * (Math.Exp(-0.5 * square / (sigma * sigma)) + halo * Math.Exp(-square / 40)));
                Span<float> pixel = rgbx.Slice(((py - block.Y) * block.Width + px - block.X) * 4, 4);
                (pixel[0], pixel[1], pixel[2]) = (pixel[0] + light * colour.X, pixel[1] + light * colour.Y, pixel[2] + light * colour.Z);
            }
        }
    }
}
