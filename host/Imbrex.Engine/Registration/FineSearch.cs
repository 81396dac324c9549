using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>Lays blocks over what two frames share and measures each at full size.</summary>
internal static class FineSearch
{
    /// <summary>Usual side of a block, px.</summary>
    public const int BlockSide = 128;

    /// <summary>Longest side of a block, px: a cell is measured whole where all cells may be measured.</summary>
    private const int LongestSide = 2 * BlockSide;

    /// <summary>Shortest side of a block that is worth measuring, px.</summary>
    public const int LeastSide = 16;

    /// <summary>Pixels of the first frame's rim left out: gradients and smoothing need neighbours.</summary>
    private const int Rim = BlockMatch.Rim;

    /// <summary>
    /// What interpolation and the model of a block err by without any noise, px: each block by itself, and all blocks of a pair alike, since their shifts have
    /// much the same fraction. Measured on noise-free frames of a sharp photograph: 0.0005 and 0.0003.
    /// </summary>
    private const double OwnError = 0.0005, CommonError = 0.0004;

    /// <summary>A pair is measured well enough when noise leaves less than one part in this many, in variance, of what all blocks err by alike.</summary>
    private const double Enough = 4;

    /// <summary>One part in this many of the blocks is measured in any case: for rotation and shape, and to tell what moves.</summary>
    private const int LeastPart = 4;

    /// <summary>Full pixels for each reduced one.</summary>
    private const int Factor = 1 << GrayPyramid.FinestLevel;

    /// <summary>Measures one pair.</summary>
    /// <param name="area">What the two frames share.</param>
    /// <param name="frames">All frames.</param>
    /// <param name="pyramids">Their pyramids, to choose blocks with detail.</param>
    /// <param name="placements">Where they are believed to lie.</param>
    /// <param name="mostBlocks">Most blocks to measure.</param>
    /// <param name="radius">How far the belief may be wrong, px.</param>
    /// <param name="bench">The calling thread's memory.</param>
    public static List<Tie> Find(SharedArea area, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids,
        IReadOnlyList<Placement> placements, int mostBlocks, int radius, MatchBench bench)
    {
        var ties = new List<Tie>();
        Frame fa = frames[area.A].Frame, fb = frames[area.B].Frame;
        List<Block> blocks = [.. Blocks(area, fa, pyramids[area.A][GrayPyramid.FinestLevel], mostBlocks)];
        (double sumX, double sumY) = (0, 0);
        for (int i = 0; i < blocks.Count; i++)
        {
            // Where there is light enough, the rest would tell nothing: the interpolation's error is left.
            if (i >= mostBlocks / LeastPart && Math.Min(sumX, sumY) * CommonError * CommonError > Enough)
                break;
            if (Measure(blocks[Spread(i, blocks.Count)], turn: i % 2 == 0) is not { } tie)
                continue;
            ties.Add(tie);
            (sumX, sumY) = (sumX + tie.Information.Xx, sumY + tie.Information.Yy);
        }
        // An error that all share does not average out: each tie carries it as many times as there are ties.
        double variance = OwnError * OwnError + ties.Count * CommonError * CommonError;
        return [.. ties.Select(tie => tie with { Information = tie.Information.WithError(variance) })];

        // Every second block is measured from the other frame, so that what errs towards the frame that is interpolated evens out, and shows in the scatter.
        Tie? Measure(Block cell, bool turn)
        {
            if (turn)
                return FineSearch.Measure(cell, frames[area.A], placements[area.A], frames[area.B], placements[area.B], radius, bench) is { } there
                    ? new(area.A, area.B, there.X, there.Y, there.InX, there.InY, there.Information) : null;
            return FineSearch.Measure(Across(cell, fa, placements[area.A], fb, placements[area.B]), frames[area.B], placements[area.B], frames[area.A], placements[area.A], radius, bench) is { } back
                ? new(area.A, area.B, back.InX, back.InY, back.X, back.Y, back.Information) : null;
        }
    }

    // All of 0 ... count - 1, each part of the sequence spread over the whole: steps of the golden section.
    private static int Spread(int index, int count)
    {
        int step = Math.Max(1, (int)Math.Round(count * 0.618));
        while (Greatest(step, count) != 1)
            step++;
        return (int)((long)index * step % count);

        static int Greatest(int a, int b) => b == 0 ? a : Greatest(b, a % b);
    }

    // The spot in the middle of a block, and where the other frame shows it, as offsets from the frames' centres.
    private static (double X, double Y, double InX, double InY, Information Information)? Measure(Block cell, PlacedFrame first, Placement placeA, PlacedFrame second, Placement placeB, int radius, MatchBench bench)
    {
        (Frame a, Frame b) = (first.Frame, second.Frame);
        Block block = Inside(cell, a, placeA, b, placeB, BlockMatch.Reach(radius));
        if (first.Usable is not null || second.Usable is not null)
            block = UsablePartOf(block, first, placeA, second, placeB);
        if (Math.Min(block.Width, block.Height) < LeastSide || BlockMatch.Measure(a, block, placeA, b, placeB, radius, bench) is not { } match)
            return null;
        double x = block.X + (block.Width - 1) / 2.0 - a.CentreX, y = block.Y + (block.Height - 1) / 2.0 - a.CentreY;
        (double cx, double cy) = placeA.ToCanvas(x + match.Dx, y + match.Dy);
        (double inX, double inY) = placeB.ToFrame(cx, cy);
        return (x, y, inX, inY, match.Information);
    }

    // What the openings before the sensor darken in one frame is no detail of the scene: the largest of the block's halves and quarters that both frames show
    // well, or nothing.
    private static Block UsablePartOf(Block block, PlacedFrame first, Placement placeA, PlacedFrame second, Placement placeB)
    {
        // A half need not be a multiple of 8 px wide.
        (int half, int tall) = (block.Width / 16 * 8, block.Height / 2);
        (int right, int lower) = (block.X + block.Width - half, block.Y + block.Height - tall);
        ReadOnlySpan<Block> parts =
        [
            block, block with { Width = half }, block with { X = right, Width = half }, block with { Height = tall }, block with { Y = lower, Height = tall },
            new(block.X, block.Y, half, tall), new(right, block.Y, half, tall), new(block.X, lower, half, tall), new(right, lower, half, tall),
        ];
        foreach (Block part in parts)
        {
            if (IsUsable(part, first, placeA, second, placeB))
                return part;
        }
        return default;
    }

    private static bool IsUsable(Block block, PlacedFrame first, Placement placeA, PlacedFrame second, Placement placeB)
    {
        for (int corner = 0; corner < 4; corner++)
        {
            double x = block.X + (corner & 1) * (block.Width - 1) - first.Frame.CentreX, y = block.Y + (corner >> 1) * (block.Height - 1) - first.Frame.CentreY;
            (double cx, double cy) = placeA.ToCanvas(x, y);
            (double bx, double by) = placeB.ToFrame(cx, cy);
            if (first.Usable?.Holds(x, y) is false || second.Usable?.Holds(bx, by) is false)
                return false;
        }
        return true;
    }

    // The block of B that shows what a block of A shows, inside B's rim; sides are swapped where the frames stand across one another.
    private static Block Across(Block block, Frame a, Placement placeA, Frame b, Placement placeB)
    {
        (double cx, double cy) = placeA.ToCanvas(block.X + (block.Width - 1) / 2.0 - a.CentreX, block.Y + (block.Height - 1) / 2.0 - a.CentreY);
        (double x, double y) = placeB.ToFrame(cx, cy);
        double sin = Math.Abs(Math.Sin(placeA.Angle - placeB.Angle));
        (int width, int height) = sin > Math.Sqrt(0.5) ? (block.Height, block.Width) : (block.Width, block.Height);
        int left = Math.Max(Rim, (int)Math.Round(x + b.CentreX - (width - 1) / 2.0)), top = Math.Max(Rim, (int)Math.Round(y + b.CentreY - (height - 1) / 2.0));
        return new(left, top, Math.Min(width, b.Width - Rim - left), Math.Min(height, b.Height - Rim - top));
    }

    // Cuts off what B cannot show with the room that the search needs around it.
    private static Block Inside(Block block, Frame a, Placement placeA, Frame b, Placement placeB, int room)
    {
        double left = double.PositiveInfinity, top = double.PositiveInfinity, right = double.NegativeInfinity, bottom = double.NegativeInfinity;
        for (int corner = 0; corner < 4; corner++)
        {
            double x = block.X + (corner & 1) * (block.Width - 1) - a.CentreX, y = block.Y + (corner >> 1) * (block.Height - 1) - a.CentreY;
            (double cx, double cy) = placeA.ToCanvas(x, y);
            (double bx, double by) = placeB.ToFrame(cx, cy);
            (left, right) = (Math.Min(left, bx + b.CentreX), Math.Max(right, bx + b.CentreX));
            (top, bottom) = (Math.Min(top, by + b.CentreY), Math.Max(bottom, by + b.CentreY));
        }
        int cutLeft = Over(room - left), cutTop = Over(room - top), cutRight = Over(right + room - (b.Width - 1)), cutBottom = Over(bottom + room - (b.Height - 1));
        int width = block.Width - cutLeft - cutRight;
        // Whole vectors.
        return new(block.X + cutLeft, block.Y + cutTop, width - width % 8, block.Height - cutTop - cutBottom);
    }

    private static int Over(double pixels) => (int)Math.Ceiling(Math.Max(0, pixels));

    // A grid of equal cells over the shared area; where it has more cells than may be measured, the cells are larger than a block
    // and each gives its most detailed block.
    private static IEnumerable<Block> Blocks(SharedArea area, Frame frame, IGreyPicture picture, int mostBlocks)
    {
        int left = (int)Math.Ceiling(area.Left + frame.CentreX) + Rim, right = (int)Math.Floor(area.Right + frame.CentreX) - Rim + 1;
        int top = (int)Math.Ceiling(area.Top + frame.CentreY) + Rim, bottom = (int)Math.Floor(area.Bottom + frame.CentreY) - Rim + 1;
        int width = right - left, height = bottom - top;
        if (width < LeastSide || height < LeastSide)
            yield break;
        double side = Math.Max(BlockSide, Math.Sqrt(width * (double)height / mostBlocks));
        int columns = Math.Max(1, (int)(width / side)), rows = Math.Max(1, Math.Min((int)(height / side), Math.Max(1, mostBlocks / columns)));
        int reducedX = Math.Min(left / Factor, picture.Width - 1), reducedY = Math.Min(top / Factor, picture.Height - 1);
        using GreyPart grey = picture.Read(new(reducedX, reducedY, Math.Min(right / Factor + 1, picture.Width) - reducedX, Math.Min(bottom / Factor + 1, picture.Height) - reducedY));
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int x = left + width * column / columns, endX = left + width * (column + 1) / columns;
                int y = top + height * row / rows, endY = top + height * (row + 1) / rows;
                yield return MostDetailed(grey, x, y, endX - x, endY - y);
            }
        }
    }

    private static Block MostDetailed(GreyPart grey, int x, int y, int width, int height)
    {
        bool whole = Math.Max(width, height) < LongestSide;
        int w = whole ? width : Math.Min(width, BlockSide), h = whole ? height : Math.Min(height, BlockSide);
        int stepsX = Math.Min(4, (width - w) / (BlockSide / 2) + 1), stepsY = Math.Min(4, (height - h) / (BlockSide / 2) + 1);
        Block best = default;
        double bestDetail = -1;
        for (int i = 0; i < stepsX * stepsY; i++)
        {
            int bx = x + (stepsX == 1 ? (width - w) / 2 : (width - w) * (i % stepsX) / (stepsX - 1));
            int by = y + (stepsY == 1 ? (height - h) / 2 : (height - h) * (i / stepsX) / (stepsY - 1));
            double detail = stepsX * stepsY == 1 ? 0 : Detail(grey, bx, by, w, h);
            if (detail > bestDetail)
                (best, bestDetail) = (new(bx, by, w, h), detail);
        }
        return best;
    }

    // The weaker of the two directions counts: an edge alone does not fix a position.
    private static double Detail(GreyPart grey, int x, int y, int width, int height)
    {
        double across = 0, down = 0;
        Block area = grey.Area;
        int startX = x / Factor, stepsX = Math.Min((x + width) / Factor, area.X + area.Width) - 1 - startX, endY = Math.Min((y + height) / Factor, area.Y + area.Height) - 1;
        for (int row = y / Factor; row < endY && stepsX > 0; row++)
        {
            ReadOnlySpan<float> here = grey.Row(startX, row, stepsX + 1), below = grey.Row(startX, row + 1, stepsX + 1);
            for (int column = 0; column < stepsX; column++)
            {
                across += (here[column + 1] - here[column]) * (here[column + 1] - here[column]);
                down += (below[column] - here[column]) * (below[column] - here[column]);
            }
        }
        return Math.Min(across, down);
    }
}

/// <summary>A block of a frame's upright pixels.</summary>
internal readonly record struct Block(int X, int Y, int Width, int Height);
