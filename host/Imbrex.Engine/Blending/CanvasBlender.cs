using System.Buffers;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Blending;

/// <summary>Blends the whole canvas block by block on a fixed number of workers, each with its own memory.</summary>
internal static class CanvasBlender
{
    /// <summary>Side of a block without its apron; a multiple of 2^<see cref="MostLevels"/>.</summary>
    public const int CoreSide = 512;

    /// <summary>Most levels of the pyramid.</summary>
    public const int MostLevels = 5;

    /// <summary>All blocks of a canvas, row after row.</summary>
    public static IReadOnlyList<CanvasArea> Blocks(int width, int height)
    {
        var blocks = new List<CanvasArea>();
        for (int y = 0; y < height; y += CoreSide)
        {
            for (int x = 0; x < width; x += CoreSide)
                blocks.Add(new(x, y, Math.Min(CoreSide, width - x), Math.Min(CoreSide, height - y)));
        }
        return blocks;
    }

    /// <summary>Counts the pixels of a canvas that no frame shows.</summary>
    public static long CountHoles(SeamMap seams, int width, int height, int workers, CancellationToken cancellation)
    {
        long holes = 0;
        IReadOnlyList<CanvasArea> blocks = Blocks(width, height);
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
    public static void Blend(SeamMap seams, IReadOnlyList<FrameSampler> samplers, int levels, int width, int height, int bands, TiffWriter master,
        int workers, IProgress<double> progress, CancellationToken cancellation)
    {
        IReadOnlyList<CanvasArea> blocks = Blocks(width, height);
        int done = 0;
        WorkerCrew.Run(workers, blocks.Count, () => new BlockBlender(seams, samplers, levels, CoreSide, bands), (blender, i) =>
        {
            CanvasArea block = blocks[i];
            ushort[] samples = ArrayPool<ushort>.Shared.Rent(block.Size * bands);
            blender.Blend(block, samples);
            master.Write(block.X, block.Y, block.Width, block.Height, samples.AsSpan(0, block.Size * bands));
            ArrayPool<ushort>.Shared.Return(samples);
            progress.Report(Interlocked.Increment(ref done) / (double)blocks.Count);
        }, cancellation);
    }
}
