using System.Buffers;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// A square of one frame under a window that falls smoothly to 0 at its rim (Hann, in each direction), centred between pixels where it must be: the
/// weighted mean then does not depend on how the pixels lie, where a box at whole pixels would be off by half a pixel of its rim. Returns its
/// buffers when disposed of.
/// </summary>
internal readonly struct PatchWindow : IDisposable
{
    private readonly ushort[] _codes;
    private readonly float[] _across, _down;

    private PatchWindow(int left, int top, int width, int height, ushort[] codes, float[] across, float[] down) =>
        (Left, Top, Width, Height, _codes, _across, _down) = (left, top, width, height, codes, across, down);

    /// <summary>First column of the frame under the window.</summary>
    public int Left { get; }

    /// <summary>First row.</summary>
    public int Top { get; }
    public int Width { get; }
    public int Height { get; }

    /// <summary>Reads a patch; null where it leaves the frame.</summary>
    /// <param name="frame">The frame.</param>
    /// <param name="x">Column of the window's centre.</param>
    /// <param name="y">Row of the window's centre.</param>
    /// <param name="side">Full width of the window, px.</param>
    public static PatchWindow? Read(Frame frame, double x, double y, int side)
    {
        double half = side / 2.0;
        int left = (int)Math.Floor(x - half) + 1, right = (int)Math.Ceiling(x + half) - 1;
        int top = (int)Math.Floor(y - half) + 1, bottom = (int)Math.Ceiling(y + half) - 1;
        if (left < 0 || top < 0 || right >= frame.Width || bottom >= frame.Height)
            return null;
        (int width, int height) = (right - left + 1, bottom - top + 1);
        ushort[] codes = ArrayPool<ushort>.Shared.Rent(width * height * Frame.Bands);
        frame.ReadBlock(left, top, width, height, codes);
        return new(left, top, width, height, codes, Hann(left - x, width, side), Hann(top - y, height, side));
    }

    public ushort Code(int column, int row, int band) => _codes[(row * Width + column) * Frame.Bands + band];

    public float Weight(int column, int row) => _across[column] * _down[row];

    public void Dispose()
    {
        ArrayPool<ushort>.Shared.Return(_codes);
        ArrayPool<float>.Shared.Return(_across);
        ArrayPool<float>.Shared.Return(_down);
    }

    private static float[] Hann(double first, int count, int side)
    {
        float[] weights = ArrayPool<float>.Shared.Rent(count);
        for (int i = 0; i < count; i++)
        {
            double cos = Math.Cos(Math.PI * (first + i) / side);
            weights[i] = (float)(cos * cos);
        }
        return weights;
    }
}
