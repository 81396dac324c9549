using System.Buffers;
using Imbrex.Engine.Intake;
using Imbrex.Sdk;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Flat-field correction, I' = (I - D) mean(F - D) / (F - D) (reference sheet 3.2), in linear light. Flat and dark frames are averaged over cells of 64 px,
/// so that their noise does not enter the picture and next to no memory is needed: what is taken out is smooth shading, not the pattern of single pixels.
/// </summary>
internal static class FlatField
{
    /// <summary>Side of a cell, px.</summary>
    public const int Cell = 64;

    private const ushort ClippedCode = 65_500;

    /// <summary>A cell with a larger part of its samples clipped is useless.</summary>
    private const double MostClipped = 0.01;

    /// <summary>A cell with less light, as a part of the frame's mean, is dead: dividing by it would show noise only.</summary>
    private const double LeastLight = 0.02;

    /// <summary>Mean linear light of each cell.</summary>
    /// <param name="frame">The frame, the body upright.</param>
    /// <param name="light">Its tone curves.</param>
    /// <param name="path">Its file, for what is wrong with it.</param>
    /// <param name="cancellation">Cancels.</param>
    /// <exception cref="InputException">Much of it is clipped.</exception>
    public static SensorGrid Average(Frame frame, FrameLight light, string path, CancellationToken cancellation)
    {
        int columns = (frame.Width + Cell - 1) / Cell, rows = (frame.Height + Cell - 1) / Cell;
        double[][] values = [.. Enumerable.Range(0, Frame.Bands).Select(_ => new double[columns * rows])];
        ushort[] codes = ArrayPool<ushort>.Shared.Rent(Cell * Cell * Frame.Bands);
        try
        {
            for (int cell = 0; cell < columns * rows; cell++)
            {
                cancellation.ThrowIfCancellationRequested();
                int x = cell % columns * Cell, y = cell / columns * Cell;
                int width = Math.Min(Cell, frame.Width - x), height = Math.Min(Cell, frame.Height - y);
                frame.ReadBlock(x, y, width, height, codes);
                Span<ushort> samples = codes.AsSpan(0, width * height * Frame.Bands);
                for (int band = 0; band < Frame.Bands; band++)
                    values[band][cell] = Mean(samples, band, light.Curves[band], x, y, path);
            }
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(codes);
        }
        return new(values, columns, rows, Cell, frame.Width, frame.Height);
    }

    /// <summary>The factor mean(F - D) / (F - D).</summary>
    /// <param name="flat">The flat frame.</param>
    /// <param name="dark">The dark frame, or null.</param>
    /// <param name="path">The flat frame's file, for what is wrong with it.</param>
    /// <exception cref="InputException">Some part of the flat frame has no light.</exception>
    public static SensorGrid Factor(SensorGrid flat, SensorGrid? dark, string path)
    {
        double[][] values = [.. flat.Values.Select((cells, band) => cells.Select((light, i) => light - (dark?.Values[band][i] ?? 0)).ToArray())];
        for (int band = 0; band < values.Length; band++)
        {
            double mean = flat.Mean(values[band]);
            int dead = Array.FindIndex(values[band], light => !(light > LeastLight * mean) || mean <= 0);
            if (dead >= 0)
            {
                throw new InputException(FormattableString.Invariant(
                    $"The flat frame has next to no light near column {dead % flat.Columns * Cell}, row {dead / flat.Columns * Cell}."), path,
                    "Photograph an evenly lit surface, exposed to about half of white; nothing may stand in the way of the light.");
            }
            values[band] = Array.ConvertAll(values[band], light => mean / light);
        }
        return flat with { Values = values };
    }

    private static double Mean(ReadOnlySpan<ushort> samples, int band, ToneCurve curve, int x, int y, string path)
    {
        double sum = 0;
        int count = 0, clipped = 0;
        for (int i = band; i < samples.Length; i += Frame.Bands, count++)
        {
            sum += curve.Linear(samples[i]);
            clipped += samples[i] >= ClippedCode ? 1 : 0;
        }
        return clipped <= MostClipped * count ? sum / count : throw new InputException($"The frame is clipped near column {x}, row {y}.", path,
            "Expose flat frames to about half of white.");
    }
}
