using System.Globalization;
using Imbrex.Benchmarks.Cases;
using Imbrex.Benchmarks.Children;

namespace Imbrex.Benchmarks;

/// <summary>Peak memory of merging six and 24 tiles of 24 megapixels.</summary>
internal static class MemoryCommand
{
    public static int Run(string[] args)
    {
        if (args.Length > 0)
            return Arguments.Refuse("memory: peak memory of six and 24 tiles of 24 MP; takes no options");
        Console.WriteLine("| tiles of 24 MP | output MP | peak MB | s |");
        Console.WriteLine("| --- | --- | --- | --- |");
        double? first = null;
        foreach ((int columns, int rows) in new[] { (3, 2), (6, 4) })
        {
            MergeOutcome outcome = LargeTake.Merge(columns, rows, out double megapixels);
            if (outcome.Failure is not null)
                return Arguments.Refuse(outcome.Failure);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {columns * rows} | {megapixels:0} | {outcome.PeakMb:0} | {outcome.Seconds:0.0} |"));
            if (first is not null)
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"\ngrowth: {100 * (outcome.PeakMb / first - 1):0.0} %"));
            first = outcome.PeakMb;
        }
        return 0;
    }
}
