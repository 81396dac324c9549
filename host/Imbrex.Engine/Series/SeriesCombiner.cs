using System.Runtime.InteropServices;
using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Series;

/// <summary>Makes one frame of a series, band by band: every frame is laid on the first one's pixels and their linear light is combined.</summary>
internal static class SeriesCombiner
{
    /// <summary>Rows done at a time.</summary>
    private const int BandRows = 64;

    /// <summary>
    /// Codes between which a bracket fades out: raw developers bend the tones below white, and light beyond white is lost. Common practice, no source.
    /// </summary>
    private const float FadeFrom = 0.85f * ToneCurve.White, FadeTo = 0.98f * ToneCurve.White;

    /// <summary>
    /// A value stands apart when it is so many times further from the next than all the rest are spread. Where it is noise alone that does, the middle one hardly moves.
    /// </summary>
    private const float FarOff = 8;

    /// <summary>Writes the combined frame as plain rows.</summary>
    /// <param name="series">The aligned frames.</param>
    /// <param name="light">The tone curves.</param>
    /// <param name="path">File to write.</param>
    /// <param name="cancellation">Cancels the work.</param>
    /// <exception cref="Sdk.InputException">The disk failed.</exception>
    public static void Write(FrameSeries series, FrameLight light, string path, CancellationToken cancellation)
    {
        Frame first = series.Frames[0];
        var evening = new Evening(light, [1, 1, 1]);
        FrameSampler[] samplers = [.. series.Frames.Select((frame, i) => new FrameSampler(frame, series.Placements[i], evening))];
        int size = first.Width * BandRows * Frame.Bands;
        float[][] planes = [.. samplers.Select(_ => new float[size])];
        var samples = new ushort[size];
        try
        {
            using SafeFileHandle file = File.OpenHandle(path, FileMode.Create, FileAccess.Write, FileShare.None, FileOptions.None, Frame.PlainBytes(first.Width, first.Height));
            for (int top = 0; top < first.Height; top += BandRows)
            {
                cancellation.ThrowIfCancellationRequested();
                var area = new CanvasArea(0, top, first.Width, Math.Min(BandRows, first.Height - top));
                for (int i = 0; i < samplers.Length; i++)
                    samplers[i].Sample(area, planes[i]);
                Combine(series, light, planes, area.Size, samples);
                RandomAccess.Write(file, MemoryMarshal.AsBytes(samples.AsSpan(0, area.Size * Frame.Bands)), Frame.PlainBytes(first.Width, top));
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(path, e);
        }
    }

    /// <summary>Combines pixels that lie on one another.</summary>
    /// <param name="series">The frames' gains and the rule.</param>
    /// <param name="light">The tone curves.</param>
    /// <param name="planes">For each frame three planes of codes.</param>
    /// <param name="pixels">Pixels in each plane.</param>
    /// <param name="samples">Receives interleaved codes.</param>
    public static void Combine(FrameSeries series, FrameLight light, float[][] planes, int pixels, Span<ushort> samples)
    {
        Span<float> values = stackalloc float[planes.Length], weights = stackalloc float[planes.Length];
        for (int pixel = 0; pixel < pixels; pixel++)
        {
            if (series.Rule == SeriesRule.Brackets)
                Weigh(series, planes, pixel, pixels, weights);
            for (int band = 0; band < Frame.Bands; band++)
            {
                ToneCurve curve = light.Curves[band];
                for (int i = 0; i < values.Length; i++)
                    values[i] = curve.Linear(planes[i][band * pixels + pixel]) * (float)series.Gains[i][band];
                float combined = series.Rule switch
                {
                    SeriesRule.Median => Median(values),
                    SeriesRule.Brackets => Weighted(values, weights),
                    _ => Mean(values),
                };
                samples[pixel * Frame.Bands + band] = (ushort)(curve.Code(combined) + 0.5f);
            }
        }
    }

    // Shot noise grows with the root of the light: scaled to one exposure, a frame's variance falls with the light that it gathered
    // (inverse-variance weights; from memory). A pixel clipped in one channel counts in none, or its colour would shift.
    private static void Weigh(FrameSeries series, float[][] planes, int pixel, int pixels, Span<float> weights)
    {
        float sum = 0;
        for (int i = 0; i < weights.Length; i++)
        {
            float brightest = Math.Max(planes[i][pixel], Math.Max(planes[i][pixels + pixel], planes[i][2 * pixels + pixel]));
            float trust = Math.Clamp((FadeTo - brightest) / (FadeTo - FadeFrom), 0, 1);
            sum += weights[i] = trust / (float)series.Gains[i][1];
        }
        if (sum > 0)
            return;
        // Clipped in all: the darkest frame knows best.
        for (int i = 0; i < weights.Length; i++)
            weights[i] = series.Gains[i][1] >= 1 ? 1 : 0;
    }

    private static float Weighted(ReadOnlySpan<float> values, ReadOnlySpan<float> weights)
    {
        float sum = 0, total = 0;
        for (int i = 0; i < values.Length; i++)
        {
            sum += weights[i] * values[i];
            total += weights[i];
        }
        return sum / total;
    }

    private static float Mean(ReadOnlySpan<float> values)
    {
        float sum = 0;
        foreach (float value in values)
            sum += value;
        return sum / values.Length;
    }

    /// <summary>The median of what does not stand far from all the rest; sorts the values.</summary>
    /// <remarks>
    /// Where one frame shows somebody, the median of all would be that of the other frames' values which lies nearest to him: off by half the noise of a frame.
    /// </remarks>
    public static float Median(Span<float> values)
    {
        // A few values: insertion is quickest.
        for (int i = 1; i < values.Length; i++)
        {
            float value = values[i];
            int at = i;
            for (; at > 0 && values[at - 1] > value; at--)
                values[at] = values[at - 1];
            values[at] = value;
        }
        int first = 0, last = values.Length - 1;
        while (last - first >= 2)
        {
            if (values[last] - values[last - 1] > FarOff * (values[last - 1] - values[first]))
                last--;
            else if (values[first + 1] - values[first] > FarOff * (values[last] - values[first + 1]))
                first++;
            else
                break;
        }
        int middle = (first + last) / 2;
        return (last - first) % 2 == 0 ? values[middle] : (values[middle] + values[middle + 1]) / 2;
    }
}
