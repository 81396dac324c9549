using Imbrex.Engine.Documents;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Merging;

/// <summary>Tells what was done to the light of a take.</summary>
internal static class LightFindings
{
    /// <summary>Light seldom drifts by more during a take; a frame that is off by more was exposed otherwise, stops.</summary>
    private const double OddExposure = 1.0 / 3;

    /// <summary>What happens to highlights by less than this nobody sees; it stands in mosaic.json only.</summary>
    private const double LeastToldStops = 0.01;

    /// <summary>Says where the frames do not tell how they encode light.</summary>
    public static void AddProfile(FrameLight light, List<FindingPart> findings)
    {
        if (light.IsAssumed)
            findings.Add(new() { Kind = "profile", Text = "The frames carry no colour profile with tone curves; sRGB was assumed for linear light." });
    }

    /// <summary>Names the frames that were exposed otherwise than the rest.</summary>
    public static void AddExposure(IReadOnlyList<PlacedFrame> frames, Evened evened, List<FindingPart> findings)
    {
        double[] stops = [.. evened.Gains.Select(gain => -gain.Average(Math.Log2))];
        double usual = stops.Median();
        for (int i = 0; i < stops.Length; i++)
        {
            double off = stops[i] - usual;
            if (Math.Abs(off) < OddExposure)
                continue;
            findings.Add(new()
            {
                Kind = "exposure",
                Tile = frames[i].Id,
                Text = FormattableString.Invariant($"The frame of tile {frames[i].Id} is {Math.Abs(off):0.0} stops {(off < 0 ? "darker" : "brighter")} than most; it was evened out."),
            });
        }
    }

    /// <summary>Says that shading was taken out, how much, and what of it cannot be known.</summary>
    /// <param name="stances">How the frames stood.</param>
    /// <param name="sensor">The sensor.</param>
    /// <param name="evened">What was found.</param>
    /// <param name="search">What was sought.</param>
    /// <param name="findings">Receives the finding.</param>
    public static void AddShading(FrameStances stances, ISensor sensor, Evened evened, LightSearch search, List<FindingPart> findings)
    {
        if (evened.Fit.Shading is not { } shading)
            return;
        (double x, double y) = (sensor.WidthPx / 2.0 / stances.Radius, sensor.HeightPx / 2.0 / stances.Radius);
        double darkest = new (double X, double Y)[] { (-x, -y), (x, -y), (x, y), (-x, y) }.Min(corner => shading.LogAt(1, corner.X, corner.Y)) / Math.Log(2);
        string unseen = search.SameExposure || stances.AnyTurned ? ""
            : " An even ramp from one side of the sensor to the other cannot be told from differences of exposure where all frames stand the same way up; none was assumed.";
        findings.Add(new()
        {
            Kind = "shading",
            Text = FormattableString.Invariant(
                $"All frames are shaded alike, by {-darkest:0.00} stops of green in the sensor's darkest corner against its middle; this was taken out.{unseen}"),
        });
    }

    /// <summary>Says that glare was taken off.</summary>
    public static void AddGlare(IReadOnlyList<PlacedFrame> frames, Evened evened, List<FindingPart> findings)
    {
        if (evened.Glare is not { } glare)
            return;
        int most = Enumerable.Range(0, glare.Count).MaxBy(i => glare[i].Max());
        findings.Add(new()
        {
            Kind = "glare",
            Text = FormattableString.Invariant($"Stray light lies over some frames more than over others, most over tile {frames[most].Id} ({100 * glare[most].Average():0.00} % of white); ")
                + "the difference was taken off. What lies over all frames alike cannot be seen and stays.",
        });
    }

    /// <summary>Says which tiles are darkened by what stands between lens and sensor, by the plan's kit.</summary>
    /// <param name="frames">The frames.</param>
    /// <param name="isMadeGood">Whether the loss could be computed and was taken out.</param>
    /// <param name="findings">Receives the finding.</param>
    public static void AddOpenings(IReadOnlyList<PlacedFrame> frames, bool isMadeGood, List<FindingPart> findings)
    {
        string[] dark = [.. frames.Where(frame => frame.Usable is not null).Select(frame => frame.Id)];
        if (dark.Length == 0)
            return;
        findings.Add(new()
        {
            Kind = "openings",
            Text = $"By the plan's kit, the mount's throat or another opening darkens parts of {(dark.Length == 1 ? "tile" : "tiles")} {string.Join(", ", dark)}. "
                + "Neighbours show those parts where they can. "
                + (isMadeGood ? "What is lost inside the usable parts was made good." : "What is lost inside the usable parts stays, as the plan does not tell the aperture."),
        });
    }

    /// <summary>Says what became of light that evening out raised above white, and of clipped sources that it lowered.</summary>
    public static void AddHighlights(IReadOnlyList<PlacedFrame> frames, Highlights highlights, List<FindingPart> findings)
    {
        Shoulder shoulder = highlights.Shoulder;
        if (Math.Log2(shoulder.Top) >= LeastToldStops)
        {
            findings.Add(new()
            {
                Kind = "highlights",
                Text = FormattableString.Invariant($"Evening out raises the brightest light {Math.Log2(shoulder.Top):0.00} stops above white. ")
                    + FormattableString.Invariant($"So that nothing is clipped by it, light above {100 * shoulder.Knee:0} % of white is compressed, in all frames alike; all below stays as it is."),
            });
        }
        if (highlights.LoweredStops >= LeastToldStops)
        {
            string tiles = string.Join(", ", highlights.Lifted.Select(i => frames[i].Id));
            findings.Add(new()
            {
                Kind = "highlights",
                Text = $"Evening out would turn clipped light grey in {tiles}; it was led up to white there. How bright it was is not known.",
            });
        }
    }

    /// <summary>The record of the highlights; null where nothing was done.</summary>
    public static MosaicHighlightsPart? Describe(IReadOnlyList<PlacedFrame> frames, Highlights highlights) =>
        highlights.Shoulder.IsNone && highlights.Lifted.Count == 0 ? null : new()
        {
            Knee = highlights.Shoulder.Knee,
            Top = highlights.Shoulder.Top,
            Lifted = highlights.Lifted.Count == 0 ? null : [.. highlights.Lifted.Select(i => frames[i].Id)],
        };
}
