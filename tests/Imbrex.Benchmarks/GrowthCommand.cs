using System.Globalization;
using Imbrex.Benchmarks.Cases;
using Imbrex.Benchmarks.Children;

namespace Imbrex.Benchmarks;

/// <summary>Time per output megapixel from 50 to 500 megapixels.</summary>
internal static class GrowthCommand
{
    private static readonly (int Columns, int Rows)[] Grids = [(3, 1), (3, 2), (4, 3), (5, 4), (7, 4), (6, 6)];

    public static int Run(string[] args)
    {
        if (!Arguments.TryParse(args, ["--tiles"], [], out Arguments given))
            return Arguments.Refuse("growth [--tiles N[,N...]]: seconds per output megapixel from 50 to 500 MP; --tiles takes only grids of so many tiles");
        string[]? tiles = given.Value("--tiles")?.Split(',');
        Console.WriteLine("| tiles of 24 MP | output MP | s | s per 100 MP | CPU s per 100 MP | peak MB |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- |");
        foreach ((int columns, int rows) in Grids)
        {
            if (tiles?.Contains((columns * rows).ToString(CultureInfo.InvariantCulture)) is false)
                continue;
            MergeOutcome outcome = LargeTake.Merge(columns, rows, out double megapixels);
            if (outcome.Failure is not null)
                return Arguments.Refuse(outcome.Failure);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"| {columns * rows} | {megapixels:0} | {outcome.Seconds:0.0} | {100 * outcome.Seconds / megapixels:0.00} | {100 * outcome.CpuSeconds / megapixels:0.00} | {outcome.PeakMb:0} |"));
        }
        return 0;
    }
}
