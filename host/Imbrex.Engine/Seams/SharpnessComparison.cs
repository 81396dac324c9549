using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Seams;

/// <summary>Compares the fine detail of frames over what each pair shares, leaving out what moved.</summary>
internal static class SharpnessComparison
{
    /// <summary>Detail has to be this part of the noise, on average, to be compared.</summary>
    private const double LeastSignal = 0.2;

    /// <summary>Patches that a comparison needs.</summary>
    private const int LeastPatches = 4;

    /// <summary>Noise and detail of all frames.</summary>
    public static DetailMap[] Measure(IReadOnlyList<CellPicture> pictures)
    {
        DetailMap[] maps = [.. pictures.Select(picture => new DetailMap(picture))];
        float[] quietest = [.. Enumerable.Range(0, maps.Length == 0 ? 0 : maps[0].Noise.Count)
            .Select(level => maps.Select(map => map.Noise[level]).Where(noise => noise > 0).DefaultIfEmpty(0).Min())];
        foreach (DetailMap map in maps)
            map.LimitNoise(quietest);
        return maps;
    }

    /// <summary>How sharp every frame is against its neighbours.</summary>
    public static IReadOnlyList<FrameSharpness> Compare(IReadOnlyList<PairDifference> pairs, IReadOnlyList<DetailMap> maps)
    {
        List<(double All, double Across, double Down)>[] ratios = [.. maps.Select(_ => new List<(double, double, double)>())];
        foreach (PairDifference pair in pairs.Where(pair => !pair.IsMisfit))
        {
            if (Ratio(pair, maps[pair.Shared.A], maps[pair.Shared.B]) is not var (all, across, down))
                continue;
            ratios[pair.Shared.A].Add((all, across, down));
            ratios[pair.Shared.B].Add((1 / all, 1 / across, 1 / down));
        }
        return [.. ratios.Select(Summary)];
    }

    private static FrameSharpness Summary(List<(double All, double Across, double Down)> ratios)
    {
        if (ratios.Count == 0)
            return new(0, 1, 1, 1, IsSoft: false);
        double middle = ratios.Select(ratio => ratio.All).Median();
        bool isSoft = middle < FrameSharpness.Soft && ratios.All(ratio => ratio.All < FrameSharpness.LessThanEach);
        return new(ratios.Count, middle, ratios.Select(ratio => ratio.Across).Median(), ratios.Select(ratio => ratio.Down).Median(), isSoft);
    }

    // Amplitude of the first frame's detail over the second's.
    private static (double All, double Across, double Down)? Ratio(PairDifference pair, DetailMap inA, DetailMap inB)
    {
        SharedCells shared = pair.Shared;
        double acrossA = 0, downA = 0, acrossB = 0, downB = 0, noise = 0;
        int patches = 0;
        const int Side = 1 << CellPicture.PatchShift;
        for (int row = (shared.Top + Side - 1) / Side * Side; row + Side <= shared.Top + shared.Rows; row += Side)
        {
            CellSpan span = Common(shared, row);
            for (int column = (span.First + Side - 1) / Side * Side; column + Side <= span.Last + 1; column += Side)
            {
                if (HasMoved(pair, column, row) || inA.At(shared.InA.PatchAt(column, row)) is not { } a || inB.At(shared.InB.PatchAt(column, row)) is not { } b)
                    continue;
                (acrossA, downA, acrossB, downB) = (acrossA + a.Across, downA + a.Down, acrossB + b.Across, downB + b.Down);
                noise += a.Noise + b.Noise;
                patches++;
            }
        }
        double least = LeastSignal * noise + patches;
        if (patches < LeastPatches || Math.Max(acrossA + downA, acrossB + downB) < least)
            return null;
        // Of no detail at all, a hundredth of the other's is assumed.
        double Amplitude(double a, double b) => Math.Sqrt(Math.Max(a, Math.Max(0.01 * b, 1e-3 * least)) / Math.Max(b, Math.Max(0.01 * a, 1e-3 * least)));
        return (Amplitude(acrossA + downA, acrossB + downB), Amplitude(acrossA, acrossB), Amplitude(downA, downB));
    }

    // What all four rows of patches share.
    private static CellSpan Common(SharedCells shared, int row)
    {
        CellSpan span = shared.Span(row);
        for (int i = 1; i < 1 << CellPicture.PatchShift; i++)
            span = span.And(shared.Span(row + i));
        return span;
    }

    private static bool HasMoved(PairDifference pair, int column, int row)
    {
        for (int y = row; y < row + (1 << CellPicture.PatchShift); y++)
        {
            for (int x = column; x < column + (1 << CellPicture.PatchShift); x++)
            {
                if (pair.IsMoving(x, y))
                    return true;
            }
        }
        return false;
    }
}
