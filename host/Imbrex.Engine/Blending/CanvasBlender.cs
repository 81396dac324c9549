using System.Buffers;

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
        OnWorkers(Blocks(width, height), workers, () => (new byte[CoreSide * CoreSide], new float[CoreSide * CoreSide]), (block, scratch) =>
        {
            seams.Fill(block, scratch.Item1, scratch.Item2);
            Interlocked.Add(ref holes, scratch.Item1.AsSpan(0, block.Size).Count(SeamMap.None));
        }, cancellation);
        return holes;
    }

    /// <summary>Blends all blocks into the master.</summary>
    public static void Blend(SeamMap seams, IReadOnlyList<FrameSampler> samplers, int levels, int width, int height, int bands, MasterWriter master,
        int workers, IProgress<double> progress, CancellationToken cancellation)
    {
        IReadOnlyList<CanvasArea> blocks = Blocks(width, height);
        int done = 0;
        OnWorkers(blocks, workers, () => new BlockBlender(seams, samplers, levels, CoreSide, bands), (block, blender) =>
        {
            ushort[] samples = ArrayPool<ushort>.Shared.Rent(block.Size * bands);
            blender.Blend(block, samples);
            master.Write(block, samples.AsSpan(0, block.Size * bands));
            ArrayPool<ushort>.Shared.Return(samples);
            progress.Report(Interlocked.Increment(ref done) / (double)blocks.Count);
        }, cancellation);
    }

    // A fixed pool: Parallel.For makes worker state anew for every partition, which triples the memory.
    private static void OnWorkers<T>(IReadOnlyList<CanvasArea> blocks, int workers, Func<T> prepare, Action<CanvasArea, T> work, CancellationToken cancellation)
    {
        int next = -1;
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        Task[] tasks = [.. Enumerable.Range(0, Math.Clamp(workers, 1, blocks.Count)).Select(_ => Task.Factory.StartNew(() =>
        {
            try
            {
                T state = prepare();
                for (int i = Interlocked.Increment(ref next); i < blocks.Count; i = Interlocked.Increment(ref next))
                {
                    stop.Token.ThrowIfCancellationRequested();
                    work(blocks[i], state);
                }
            }
            catch
            {
                stop.Cancel();
                throw;
            }
        }, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default))];
        try
        {
            Task.WaitAll(tasks, CancellationToken.None);
        }
        catch (AggregateException e)
        {
            cancellation.ThrowIfCancellationRequested();
            Exception cause = e.Flatten().InnerExceptions.FirstOrDefault(inner => inner is not OperationCanceledException) ?? e;
            System.Runtime.ExceptionServices.ExceptionDispatchInfo.Throw(cause);
        }
    }
}
