using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>How a picture differs from the truth.</summary>
/// <param name="Psnr">Peak signal to noise, encoded values, peak 65535, 8 px of border left out, dB.</param>
/// <param name="WorstSeam">
/// Largest over 64 px pieces of seam and the channels of |mean residual on one side - on the other| / noise sd, over 8 px to either side.
/// </param>
internal sealed record LightResult(double Psnr, double WorstSeam)
{
    private const int Border = 8, Piece = 64, Deep = 8;

    public static LightResult Compare(ushort[] got, ushort[] want, byte[] labels, int width, int height)
    {
        double squares = 0;
        long count = 0;
        for (int y = Border; y < height - Border; y++)
        {
            for (int k = (y * width + Border) * Frame.Bands; k < (y * width + width - Border) * Frame.Bands; k++, count++)
                squares += Math.Pow(got[k] - want[k], 2);
        }
        return new(10 * Math.Log10(65535.0 * 65535.0 / (squares / count)), Worst(got, want, labels, width, height));
    }

    // Pieces lie on a fixed grid of 64 px, across upright and across level seams; noise is the residuals' spread within the piece's own two sides.
    private static double Worst(ushort[] got, ushort[] want, byte[] labels, int width, int height)
    {
        double worst = 0;
        foreach (bool upright in new[] { true, false })
        {
            (int along, int across) = upright ? (height, width) : (width, height);
            int At(int a, int c) => upright ? a * width + c : c * width + a;
            for (int from = Border; from + Piece <= along - Border; from += Piece)
            {
                // A seam that passes right through the piece once is followed row by row.
                foreach ((byte left, byte right) in Pairs(labels, from + Piece / 2, across, At))
                    worst = Math.Max(worst, Step(got, want, labels, from, across, At, left, right));
            }
        }
        return worst;
    }

    private static HashSet<(byte, byte)> Pairs(byte[] labels, int along, int across, Func<int, int, int> at)
    {
        var pairs = new HashSet<(byte, byte)>();
        for (int c = Border + Deep; c < across - Border - Deep; c++)
        {
            if (labels[at(along, c - 1)] != labels[at(along, c)])
                pairs.Add((labels[at(along, c - 1)], labels[at(along, c)]));
        }
        return pairs;
    }

    private static double Step(ushort[] got, ushort[] want, byte[] labels, int from, int across, Func<int, int, int> at, byte left, byte right)
    {
        var sides = new (double Sum, double Squares, int Count)[2 * Frame.Bands];
        int rows = 0;
        for (int a = from; a < from + Piece; a++)
        {
            for (int c = Border + Deep; c < across - Border - Deep; c++)
            {
                if (labels[at(a, c - 1)] != left || labels[at(a, c)] != right)
                    continue;
                rows++;
                for (int d = -Deep; d < Deep; d++)
                {
                    for (int band = 0; band < Frame.Bands; band++)
                    {
                        int k = at(a, c + d) * Frame.Bands + band;
                        double residual = got[k] - want[k];
                        ref (double Sum, double Squares, int Count) side = ref sides[band + (d < 0 ? 0 : Frame.Bands)];
                        side = (side.Sum + residual, side.Squares + residual * residual, side.Count + 1);
                    }
                }
                break;
            }
        }
        if (rows < Piece * 3 / 4)
            return 0;
        double worst = 0;
        for (int band = 0; band < Frame.Bands; band++)
        {
            (double Sum, double Squares, int Count) a = sides[band], b = sides[band + Frame.Bands];
            double meanA = a.Sum / a.Count, meanB = b.Sum / b.Count;
            double noise = Math.Sqrt((a.Squares + b.Squares - a.Sum * meanA - b.Sum * meanB) / (a.Count + b.Count - 2));
            worst = Math.Max(worst, Math.Abs(meanA - meanB) / Math.Max(noise, 1));
        }
        return worst;
    }
}
