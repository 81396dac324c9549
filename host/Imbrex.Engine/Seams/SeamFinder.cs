using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Seams;

/// <summary>Where the seams run, what moved, and how sharp the frames are.</summary>
/// <param name="Labels">Which frame shows in which cell.</param>
/// <param name="Hidden">What frames must not show for the sake of moving things.</param>
/// <param name="Moving">What moved, strongest first.</param>
/// <param name="Sharpness">How sharp every frame is against its neighbours.</param>
internal sealed record FoundSeams(CellLabels Labels, HiddenPlaces Hidden, IReadOnlyList<MovingThing> Moving, IReadOnlyList<FrameSharpness> Sharpness);

/// <summary>
/// Finds seams of least visible difference: frames are averaged over cells of the canvas where they overlap and compared pair by pair; the
/// seams start in the middle, are improved by smallest cuts over patches of cells, then over single cells in a band along them.
/// </summary>
internal static class SeamFinder
{
    /// <summary>Cells on either side of a first seam within which it is refined: the patch that it went through, and one beside it.</summary>
    private const int BandWidth = 6;

    /// <summary>Frames at least this many pixels high and wide are looked at in cells twice as long as the smallest.</summary>
    private const int LargeFrame = 1600;

    /// <summary>Finds the seams.</summary>
    /// <param name="frames">The frames.</param>
    /// <param name="placements">Where they lie.</param>
    /// <param name="evenings">How their light is evened out.</param>
    /// <param name="width">Pixels across the canvas.</param>
    /// <param name="height">Pixels down the canvas.</param>
    /// <param name="shelf">Keeps what is read of the frames.</param>
    /// <param name="workers">Number of threads; has no influence on the result.</param>
    /// <param name="progress">Receives the done part.</param>
    /// <param name="cancellation">Cancels the work.</param>
    public static FoundSeams Find(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, IReadOnlyList<Evening> evenings, int width, int height,
        CellShelf shelf, int workers, IProgress<double> progress, CancellationToken cancellation)
    {
        int side = frames.Min(frame => Math.Min(frame.Frame.Width, frame.Frame.Height)) >= LargeFrame ? 2 * CellGrid.LeastSide : CellGrid.LeastSide;
        var grid = CellGrid.Over(width, height, side);
        FrameOutline[] outlines = [.. frames.Select((frame, i) => new FrameOutline(frame, placements[i]))];
        CellPicture[] pictures = CellReader.Read([.. frames.Select(frame => frame.Frame)], outlines, [.. evenings], grid, shelf, workers, progress, cancellation);
        IReadOnlyList<SharedCells> shared = SharedCells.All(pictures);
        var pairs = new PairDifference[shared.Count];
        WorkerCrew.Run(workers, pairs.Length, () => 0, (_, i) => pairs[i] = PairDifference.Of(shared[i]), cancellation);
        DetailMap[] details = SharpnessComparison.Measure(pictures);
        (IReadOnlyList<MovingThing> moving, IReadOnlyDictionary<int, byte> bound) = MovingThings.Find(pictures, outlines, pairs, width, height);
        var costs = SeamCosts.OnCells(outlines, pictures, pairs, details, bound);
        byte[] labels = Divide(costs, grid, outlines, pictures, bound, cancellation);
        return new(new(grid, labels), new(grid, bound), moving, SharpnessComparison.Compare(pairs, details));
    }

    private static byte[] Divide(SeamCosts costs, CellGrid grid, FrameOutline[] outlines, CellPicture[] pictures, IReadOnlyDictionary<int, byte> bound, CancellationToken cancellation)
    {
        SeamCosts coarse = costs.OnPatches();
        var patches = new CellGrid(grid.Side << CellPicture.PatchShift, coarse.Columns, coarse.Rows);
        byte[] first = MiddlePartition.Of(outlines, coarse, patches);
        SeamCut.Improve(coarse, first, null, cancellation);
        var labels = new byte[grid.Count];
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                byte label = first[(row >> CellPicture.PatchShift) * patches.Columns + (column >> CellPicture.PatchShift)];
                bool isTouched = label != SeamMap.None && costs.Allowed(label, row).Holds(column);
                labels[row * grid.Columns + column] = isTouched ? label : MiddlePartition.At(outlines, costs, grid, column, row);
            }
        }
        SeamCut.Improve(costs, labels, SeamBand.Along(grid, labels, pictures, bound, BandWidth), cancellation);
        return labels;
    }
}
