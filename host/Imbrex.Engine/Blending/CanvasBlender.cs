using Imbrex.Engine.Imaging;
using Imbrex.Engine.Reporting;
using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Blending;

/// <summary>Blends the whole canvas block by block on a fixed number of workers, each with its own memory.</summary>
internal static class CanvasBlender
{
    /// <summary>Side of the squares in which frames are joined; a multiple of 2^<see cref="MostLevels"/>.</summary>
    public const int CoreSide = 512;

    // A block is as high as a square, and so wide that each of its rows is worth a call to the disk; narrower where there would be too few for all
    // workers to be busy to the end. Only the picture decides, so that the result is the same on any number of workers.
    private const int WidestBlock = 4 * CoreSide, FewestBlocks = 48;

    /// <summary>Most levels of the pyramid.</summary>
    public const int MostLevels = 5;

    /// <summary>All blocks of a canvas, row after row.</summary>
    public static IReadOnlyList<CanvasArea> Blocks(int width, int height)
    {
        int blockWidth = WidestBlock;
        List<CanvasArea> blocks = Blocks(width, height, blockWidth);
        while (blocks.Count < FewestBlocks && blockWidth > CoreSide)
            blocks = Blocks(width, height, blockWidth /= 2);
        return blocks;
    }

    private static List<CanvasArea> Blocks(int width, int height, int blockWidth)
    {
        var blocks = new List<CanvasArea>();
        for (int y = 0; y < height; y += CoreSide)
        {
            for (int x = 0; x < width; x += blockWidth)
                blocks.Add(new(x, y, Math.Min(blockWidth, width - x), Math.Min(CoreSide, height - y)));
        }
        return blocks;
    }

    /// <summary>Counts the pixels of a canvas that no frame shows.</summary>
    public static long CountHoles(SeamMap seams, int width, int height, int workers, CancellationToken cancellation)
    {
        long holes = 0;
        List<CanvasArea> blocks = Blocks(width, height, CoreSide);
        WorkerCrew.Run(workers, blocks.Count, () => (Labels: new byte[CoreSide * CoreSide], Depths: new float[CoreSide * CoreSide]), (bench, i) =>
        {
            if (seams.Whole(blocks[i]) is not null)
                return;
            seams.Fill(blocks[i], bench.Labels, bench.Depths);
            Interlocked.Add(ref holes, bench.Labels.AsSpan(0, blocks[i].Size).Count(SeamMap.None));
        }, cancellation);
        return holes;
    }

    /// <summary>Blends all blocks into the master.</summary>
    /// <returns>The number of blocks.</returns>
    public static int Blend(SeamMap seams, IReadOnlyList<FrameSampler> samplers, int levels, int width, int height, int bands, TiffWriter master, Preview preview,
        int workers, IProgress<double> progress, CancellationToken cancellation)
    {
        IReadOnlyList<CanvasArea> blocks = Blocks(width, height);
        // Blocks follow one another down the canvas: a frame is at work for some of them, and rests when they are done. What is joined may leave a block by less than a cell,
        // and is joined with all that lies within a seam's reach.
        int around = Pyramid.Reach(levels) + BlockParts.Cell;
        int[][] shown = [.. blocks.Select(block => Enumerable.Range(0, samplers.Count).Where(frame => seams.Touches(frame, block.Grown(around))).ToArray())];
        int[] left = new int[samplers.Count];
        foreach (int frame in shown.SelectMany(frames => frames))
            left[frame]++;
        int done = 0;
        WorkerCrew.Run(workers, blocks.Count, () => (Blender: new BlockBlender(seams, samplers, levels, CoreSide, bands), Samples: new ushort[blocks.Max(block => block.Size) * bands]), (bench, i) =>
        {
            CanvasArea block = blocks[i];
            Span<ushort> samples = bench.Samples.AsSpan(0, block.Size * bands);
            bench.Blender.Blend(block, samples);
            master.Write(block.X, block.Y, block.Width, block.Height, samples);
            preview.Add(block, samples, bands);
            foreach (int frame in shown[i])
            {
                if (Interlocked.Decrement(ref left[frame]) == 0)
                    samplers[frame].Rest();
            }
            progress.Report(Interlocked.Increment(ref done) / (double)blocks.Count);
        }, cancellation);
        // Also when it came during the last block.
        cancellation.ThrowIfCancellationRequested();
        return blocks.Count;
    }
}
