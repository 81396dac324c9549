using System.Buffers;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// A scene that is drawn by procedure, pixel by pixel, and then freed from what is too fine to be resampled: next to nothing is left above
/// 0.4 cycles per pixel.
/// </summary>
public abstract class DrawnScene : IScene
{
    private static readonly SeparableFilter LowPass = BuildLowPass();

    /// <inheritdoc/>
    public void Render(PixelBlock block, Span<float> rgbx)
    {
        PixelBlock wide = block.Grown(LowPass.Reach);
        float[] sharp = ArrayPool<float>.Shared.Rent(wide.Area * 4);
        try
        {
            Draw(wide, sharp);
            LowPass.Apply(sharp, rgbx, block.Width, block.Height);
        }
        finally
        {
            ArrayPool<float>.Shared.Return(sharp);
        }
    }

    /// <summary>Draws a block without regard to what is too fine.</summary>
    /// <param name="block">The block; it may lie anywhere.</param>
    /// <param name="rgbx">Receives four floats per pixel, row after row; all of them must be written.</param>
    protected abstract void Draw(PixelBlock block, Span<float> rgbx);

    // A Kaiser-windowed sinc, half way down at 0.31 cycles per pixel and below -40 dB from 0.4 on.
    private static SeparableFilter BuildLowPass()
    {
        const double Cutoff = 0.31, Beta = 3.6;
        var half = new double[9];
        for (int i = 0; i < half.Length; i++)
        {
            double sinc = i == 0 ? 2 * Cutoff : Math.Sin(2 * Math.PI * Cutoff * i) / (Math.PI * i);
            half[i] = sinc * MathNet.Numerics.SpecialFunctions.BesselI0(Beta * Math.Sqrt(1 - i * i / 81.0));
        }
        return new(half);
    }
}
