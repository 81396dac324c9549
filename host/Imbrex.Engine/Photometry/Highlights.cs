using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>What evening out does to the brightest light of a take, measured on every pixel.</summary>
/// <param name="Shoulder">The shoulder for all frames; none where no light exceeds white.</param>
/// <param name="Clipped">For each frame, which channels it has clipped somewhere.</param>
/// <param name="Lifted">Indices of the frames whose clipped light would end below the brightest, and is led up to it.</param>
internal sealed record Highlights(Shoulder Shoulder, IReadOnlyList<bool[]> Clipped, IReadOnlyList<int> Lifted)
{
    /// <summary>By how much clipped light of those frames would end below the brightest at worst, stops.</summary>
    public double LoweredStops { get; private init; }

    /// <summary>Codes from here on are clipped.</summary>
    private const ushort ClippedCode = 65_500;

    /// <summary>Light above white by less than this is left to be clipped: less than half a code of any encoding.</summary>
    private const double Least = 1e-5;

    /// <summary>Finds the shoulder that the frames need.</summary>
    /// <param name="frames">The frames.</param>
    /// <param name="corrections">What evens out each.</param>
    /// <param name="light">The tone curves.</param>
    /// <param name="workers">Number of threads.</param>
    /// <param name="cancellation">Cancels.</param>
    public static Highlights Find(IReadOnlyList<Frame> frames, IReadOnlyList<LightCorrection> corrections, FrameLight light, int workers, CancellationToken cancellation)
    {
        var peaks = new Peak[frames.Count];
        WorkerCrew.Run(workers, frames.Count, () => 0, (_, i) => peaks[i] = Peak.Of(frames[i], corrections[i], light), cancellation);
        double top = peaks.Max(peak => peak.Light);
        var shoulder = top > 1 + Least ? new Shoulder(top) : Shoulder.None;
        int[] lifted = [.. Enumerable.Range(0, frames.Count).Where(i => peaks[i].LeastClipped < shoulder.Top - Least)];
        return new(shoulder, [.. peaks.Select((peak, i) => lifted.Contains(i) ? peak.Clipped : new bool[Frame.Bands])], lifted)
        {
            LoweredStops = lifted.Length == 0 ? 0 : Math.Log2(shoulder.Top / lifted.Min(i => peaks[i].LeastClipped)),
        };
    }

    /// <summary>The tone of every frame.</summary>
    public IReadOnlyList<HighlightTone> Tones(FrameLight light)
    {
        LightEncoder[] encoders = [.. light.Curves.Select(curve => new LightEncoder(curve, Shoulder))];
        return [.. Clipped.Select(clipped => new HighlightTone(Shoulder, encoders, clipped))];
    }

    /// <summary>The brightest light of one frame.</summary>
    /// <param name="Light">The most evened light.</param>
    /// <param name="LeastClipped">The least evened light of a clipped sample; infinite for none.</param>
    /// <param name="Clipped">Which channels are clipped somewhere.</param>
    private readonly record struct Peak(double Light, double LeastClipped, bool[] Clipped)
    {
        public static Peak Of(Frame frame, LightCorrection correction, FrameLight light)
        {
            (double most, double leastClipped) = (0, double.PositiveInfinity);
            var clipped = new bool[Frame.Bands];
            // Where no light changes, none can exceed white.
            if (correction.IsNone)
                return new(most, leastClipped, clipped);
            PeakScan.Run(frame, (x, y, width, height, codes) =>
            {
                for (int band = 0; band < Frame.Bands; band++)
                {
                    (double low, double high) = Range(correction, band, light.Curves[band].Linear(codes[band]),
                        x - frame.CentreX, y - frame.CentreY, x + width - 1 - frame.CentreX, y + height - 1 - frame.CentreY);
                    most = Math.Max(most, high);
                    if (codes[band] < ClippedCode)
                        continue;
                    clipped[band] = true;
                    leastClipped = Math.Min(leastClipped, low);
                }
            });
            return new(most, leastClipped, clipped);
        }

        // A cell is small against what changes over the frame: its corners decide.
        private static (double Low, double High) Range(LightCorrection correction, int band, double light, double left, double top, double right, double bottom)
        {
            if (correction.IsUniform)
            {
                double all = correction.Apply(band, light, left, top);
                return (all, all);
            }
            double a = correction.Apply(band, light, left, top), b = correction.Apply(band, light, right, top);
            double c = correction.Apply(band, light, left, bottom), d = correction.Apply(band, light, right, bottom);
            return (Math.Min(Math.Min(a, b), Math.Min(c, d)), Math.Max(Math.Max(a, b), Math.Max(c, d)));
        }
    }
}
