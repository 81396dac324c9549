using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using NetVips;

namespace Imbrex.Judging;

/// <summary>A merged picture against the truth.</summary>
/// <param name="Psnr">Peak signal to noise, dB: encoded values, peak 65535, all channels.</param>
/// <param name="Ssim">Structural similarity of luma.</param>
/// <param name="Seam">How visible the seams are; null without labels.</param>
/// <param name="Holes">Pixels that no frame shows; they are left out of the rest.</param>
internal sealed record PictureError(double Psnr, double Ssim, SeamError? Seam, long Holes);

/// <summary>
/// Compares a picture with the truth rendered under the recovered common motion, block by block, without a border of 8 px.
/// </summary>
/// <remarks>The truth shows nobody who walked by. Where a tile has one frame only, somebody may rightly be shown whole: there those places are left out.</remarks>
internal sealed class PictureJudge(IScene scene, Canvas canvas, CameraFaults faults)
{
    private readonly BoxPart[] _leftOut = [.. (faults.Series.Exposures == 1 ? faults.Walkers : []).Select(walker => walker.Box)];

    private const int Border = 8, Block = 8 * SeamContrast.Side, Apron = Ssim.Reach;

    /// <summary>Judges a picture.</summary>
    /// <param name="pictureFile">16 bits, sRGB, RGB or RGBA, of the canvas's size.</param>
    /// <param name="common">The motion that the picture has in common with all its tiles.</param>
    /// <param name="labelsFile">One byte for each pixel: the frame that shows there, 255 for none; or null.</param>
    /// <param name="workers">Threads; the result does not depend on their number.</param>
    public PictureError Judge(string pictureFile, CommonMotion common, string? labelsFile = null, int workers = 2)
    {
        using Image picture = Image.NewFromFile(pictureFile, failOn: Enums.FailOn.Error);
        if ((picture.Width, picture.Height) != (canvas.Width, canvas.Height))
            throw new InvalidOperationException($"The picture is {picture.Width} x {picture.Height} px, the canvas {canvas.Width} x {canvas.Height}.");
        using FileStream? labels = labelsFile is null ? null : File.OpenRead(labelsFile);
        PixelBlock[] blocks = [.. Blocks(canvas.Width, canvas.Height)];
        var found = new BlockError[blocks.Length];
        var next = -1;
        var truth = new TruthPicture(scene, canvas, faults);
        Parallel.For(0, workers, new() { MaxDegreeOfParallelism = workers }, _ =>
        {
            var bench = new Bench(truth, picture, labels, _leftOut);
            for (int i; (i = Interlocked.Increment(ref next)) < blocks.Length;)
                found[i] = bench.Judge(blocks[i], common);
        });
        return Total(found, labelsFile is not null);
    }

    private static IEnumerable<PixelBlock> Blocks(int width, int height)
    {
        for (int y = Border; y < height - Border; y += Block)
        {
            for (int x = Border; x < width - Border; x += Block)
                yield return new(x, y, Math.Min(Block, width - Border - x), Math.Min(Block, height - Border - y));
        }
    }

    private static PictureError Total(BlockError[] blocks, bool hasSeams)
    {
        long pixels = blocks.Sum(block => block.Pixels), windows = blocks.Sum(block => block.Windows);
        double mean = blocks.Sum(block => block.Squares) / (3 * pixels);
        double psnr = mean == 0 ? double.PositiveInfinity : 10 * Math.Log10(65535.0 * 65535.0 / mean);
        return new(psnr, windows == 0 ? double.NaN : blocks.Sum(block => block.Similarity) / windows,
            hasSeams ? SeamError.Of([.. blocks.SelectMany(block => block.Seams)]) : null, blocks.Sum(block => block.Holes));
    }

    private readonly record struct BlockError(double Squares, long Pixels, double Similarity, long Windows, long Holes, SeamPiece[] Seams);

    /// <summary>The buffers of one thread.</summary>
    private sealed class Bench(TruthPicture truth, Image picture, FileStream? labels, BoxPart[] leftOut)
    {
        private const int Most = (Block + 2 * Apron) * (Block + 2 * Apron);

        private readonly Ssim _ssim = new();
        private readonly ushort[] _want = new ushort[Most * 3];
        private readonly float[] _got = new float[Most];
        private readonly float[] _true = new float[Most];
        private readonly float[] _residual = new float[Block * Block];
        private readonly byte[] _labels = new byte[Block * Block];

        public BlockError Judge(PixelBlock block, CommonMotion common)
        {
            PixelBlock wide = block.Grown(Apron);
            ushort[] got;
            using (Image part = picture.Crop(wide.X, wide.Y, wide.Width, wide.Height))
                got = part.WriteToMemory<ushort>();
            truth.Read(wide, _want, common);
            double squares = 0;
            long pixels = 0, holes = 0;
            for (int i = 0; i < wide.Area; i++)
            {
                int at = i * picture.Bands;
                (int x, int y) = (i % wide.Width - Apron, i / wide.Width - Apron);
                bool inside = x >= 0 && y >= 0 && x < block.Width && y < block.Height, hole = picture.Bands == 4 && got[at + 3] < 65535;
                (_got[i], _true[i]) = (Luma(got, at), Luma(_want, 3 * i));
                bool skipped = hole || IsLeftOut(block.X + x, block.Y + y);
                if (skipped)
                    _got[i] = _true[i];
                if (!inside)
                    continue;
                _residual[y * block.Width + x] = _got[i] - _true[i];
                holes += hole ? 1 : 0;
                pixels += skipped ? 0 : 1;
                for (int band = 0; band < 3 && !skipped; band++)
                {
                    double d = got[at + band] - (double)_want[3 * i + band];
                    squares += d * d;
                }
            }
            double similarity = _ssim.Sum(_got, _true, wide.Width, wide.Height);
            return new(squares, pixels, similarity, block.Area, holes, labels is null ? [] : Seams(block));
        }

        // With the reach of a blend at the finer bands.
        private bool IsLeftOut(int x, int y)
        {
            const int Around = 32;
            foreach (BoxPart box in leftOut)
            {
                if (x > box.LeftPx - Around && x < box.LeftPx + box.WidthPx + Around && y > box.TopPx - Around && y < box.TopPx + box.HeightPx + Around)
                    return true;
            }
            return false;
        }

        private SeamPiece[] Seams(PixelBlock block)
        {
            for (int row = 0; row < block.Height; row++)
                RandomAccess.Read(labels!.SafeFileHandle, _labels.AsSpan(row * block.Width, block.Width), (block.Y + row) * (long)picture.Width + block.X);
            return [.. SeamPiece.Of(_residual, _labels, block.Width, block.Height)];
        }

        // Rec. 601 luma of encoded values, 0 to 1.
        private static float Luma(ReadOnlySpan<ushort> rgb, int at) => (0.299f * rgb[at] + 0.587f * rgb[at + 1] + 0.114f * rgb[at + 2]) / 65535f;
    }
}
