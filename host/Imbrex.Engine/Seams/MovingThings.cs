using Imbrex.Engine.Blending;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Decides for every moving thing which frame shows its place, whole: what most frames agree on; with two, the one without a strange outline
/// against its surroundings; where neither tells, the one in whose middle it lies.
/// </summary>
internal sealed class MovingThings
{
    /// <summary>Cells that a thing must fill to be one.</summary>
    private const int LeastCells = 6;

    /// <summary>A frame whose outline has no more than this part of the other's contrast does not have the thing.</summary>
    private const double ClearOutline = 0.7;

    /// <summary>With three or more frames: one that disagrees with no more than this part of the others stands with the majority.</summary>
    private const double Majority = 0.4;

    /// <summary>
    /// A thing ends: frames differ by no more than this part just outside it. Light that was not evened out fades away slowly.
    /// </summary>
    private const double Fading = 0.5;

    private readonly CellGrid _grid;
    private readonly IReadOnlyList<CellPicture> _pictures;
    private readonly FrameOutline[] _outlines;
    private readonly MovingCells _cells;

    private MovingThings(CellGrid grid, IReadOnlyList<CellPicture> pictures, FrameOutline[] outlines, MovingCells cells) =>
        (_grid, _pictures, _outlines, _cells) = (grid, pictures, outlines, cells);

    /// <summary>Finds the things and the cells that must show one frame for their sake.</summary>
    /// <param name="pictures">All frames on the cells.</param>
    /// <param name="outlines">Where they lie.</param>
    /// <param name="pairs">Where they differ.</param>
    /// <param name="width">Pixels across the canvas.</param>
    /// <param name="height">Pixels down the canvas.</param>
    /// <returns>The things, strongest first, and the frame of every cell that is bound to one.</returns>
    public static (IReadOnlyList<MovingThing> Things, IReadOnlyDictionary<int, byte> Bound) Find(IReadOnlyList<CellPicture> pictures, FrameOutline[] outlines,
        IReadOnlyList<PairDifference> pairs, int width, int height)
    {
        CellGrid grid = pictures[0].Cells.Grid;
        var cells = new MovingCells(grid, pairs);
        var finder = new MovingThings(grid, pictures, outlines, cells);
        var found = new List<(MovingThing Thing, IReadOnlyList<int> Cells)>();
        foreach (IReadOnlyList<int> thing in cells.Things().Where(thing => thing.Count >= LeastCells && finder.Ends(thing)))
            found.Add((finder.Describe(thing, width, height), thing));
        found = [.. found.OrderByDescending(item => item.Thing.Strength * item.Thing.Cells)];
        var bound = new Dictionary<int, byte>();
        foreach ((MovingThing thing, IReadOnlyList<int> own) in found)
            finder.Bind(thing, own, bound);
        return ([.. found.Select(item => item.Thing)], bound);
    }

    // The thing with a rim, so that the blending beside it does not reach it; an earlier, stronger thing keeps its cells.
    private void Bind(MovingThing thing, IReadOnlyList<int> cells, Dictionary<int, byte> bound)
    {
        foreach (int cell in cells.SelectMany(_cells.Near))
        {
            if (IsWhole(thing.Shown, cell))
                bound.TryAdd(cell, (byte)thing.Shown);
        }
    }

    private MovingThing Describe(IReadOnlyList<int> cells, int width, int height)
    {
        int[] disagreeing = [.. cells.SelectMany(_cells.At).SelectMany(pair => new[] { pair.Shared.A, pair.Shared.B }).Distinct().Order()];
        double squares = 0;
        foreach (int cell in cells)
            squares += Math.Pow(Strength(cell), 2);
        return new(MovingBox.Of(_grid, cells, Strength, width, height), disagreeing, Choose(cells), Math.Sqrt(squares / cells.Count) / ushort.MaxValue, cells.Count);
    }

    private float Strength(int cell)
    {
        float most = 0;
        foreach (PairDifference pair in _cells.At(cell))
            most = Math.Max(most, pair.Strength(cell % _grid.Columns, cell / _grid.Columns));
        return most;
    }

    private bool IsWhole(int frame, int cell) => _pictures[frame].Cells.Whole(cell / _grid.Columns).Holds(cell % _grid.Columns);

    private bool IsRead(int frame, int cell) => IsWhole(frame, cell) && _pictures[frame].IsRead(cell % _grid.Columns, cell / _grid.Columns);

    private int Choose(IReadOnlyList<int> cells)
    {
        int[] covering = [.. Enumerable.Range(0, _pictures.Count).Where(frame => cells.All(cell => IsWhole(frame, cell)))];
        if (covering.Length == 0)
            return Enumerable.Range(0, _pictures.Count).MaxBy(frame => cells.Count(cell => IsWhole(frame, cell)));
        int[] candidates = [.. covering.Where(frame => !IsCutOff(frame, cells))];
        if (candidates.Length == 0)
            candidates = covering;
        if (covering.Length >= 3)
        {
            int[] agreeing = [.. candidates.Where(frame => Disagreement(frame, cells, covering) <= Majority)];
            if (agreeing.Length > 0)
                candidates = agreeing;
        }
        else if (candidates.Length == 2)
        {
            double first = Outline(candidates[0], cells), second = Outline(candidates[1], cells);
            if (Math.Min(first, second) < ClearOutline * Math.Max(first, second))
                return first < second ? candidates[0] : candidates[1];
        }
        return candidates.MaxBy(frame => Room(frame, cells));
    }

    // Whether the thing reaches the frame's own edge where another frame goes on. If the other has it, it must show it whole; if this one has it,
    // it has only a part.
    private bool IsCutOff(int frame, IReadOnlyList<int> cells) =>
        cells.SelectMany(_cells.Near).Any(cell => !IsWhole(frame, cell) && Enumerable.Range(0, _pictures.Count).Any(other => other != frame && IsWhole(other, cell)));

    // Part of the other frames with which a frame disagrees, mean over the cells.
    private double Disagreement(int frame, IReadOnlyList<int> cells, int[] covering)
    {
        int disagreeing = cells.Sum(cell => _cells.At(cell).Count(pair => (pair.Shared.A == frame && covering.Contains(pair.Shared.B)) || (pair.Shared.B == frame && covering.Contains(pair.Shared.A))));
        return disagreeing / ((double)cells.Count * (covering.Length - 1));
    }

    private bool Ends(IReadOnlyList<int> cells)
    {
        double inside = 0, outside = 0;
        foreach ((int inner, int outer) in Rim(cells))
        {
            foreach (PairDifference pair in _cells.At(inner).Where(pair => pair.Shared.Holds(outer % _grid.Columns, outer / _grid.Columns)))
            {
                inside += pair.Strength(inner % _grid.Columns, inner / _grid.Columns);
                outside += pair.Strength(outer % _grid.Columns, outer / _grid.Columns);
            }
        }
        return outside <= Fading * inside;
    }

    // Mean step of the picture where the thing ends.
    private double Outline(int frame, IReadOnlyList<int> cells)
    {
        double sum = 0;
        int count = 0;
        foreach ((int inner, int outer) in Rim(cells).Where(pair => IsRead(frame, pair.Outer)))
        {
            sum += Step(frame, inner, outer);
            count++;
        }
        return count == 0 ? 0 : sum / count;
    }

    // Pairs of cells on either side of where a thing ends, three apart: those between may be half filled.
    private IEnumerable<(int Inner, int Outer)> Rim(IReadOnlyList<int> cells)
    {
        var inside = cells.ToHashSet();
        foreach (int cell in cells)
        {
            foreach ((int dx, int dy) in new[] { (1, 0), (-1, 0), (0, 1), (0, -1) })
            {
                int column = cell % _grid.Columns, row = cell / _grid.Columns;
                int next = Cell(column + dx, row + dy), outer = Cell(column + 2 * dx, row + 2 * dy), inner = Cell(column - dx, row - dy);
                if (next >= 0 && outer >= 0 && inner >= 0 && !inside.Contains(next) && !inside.Contains(outer) && inside.Contains(inner))
                    yield return (inner, outer);
            }
        }
    }

    private int Cell(int column, int row) => column < 0 || row < 0 || column >= _grid.Columns || row >= _grid.Rows ? -1 : row * _grid.Columns + column;

    private double Step(int frame, int from, int to)
    {
        CellPicture picture = _pictures[frame];
        int a = picture.At(from % _grid.Columns, from / _grid.Columns), b = picture.At(to % _grid.Columns, to / _grid.Columns);
        return picture.Codes.Sum(codes => Math.Abs(codes[a] - (double)codes[b]));
    }

    private double Room(int frame, IReadOnlyList<int> cells)
    {
        int middle = cells[cells.Count / 2];
        CanvasArea area = _grid.Area(middle % _grid.Columns, middle / _grid.Columns);
        return _outlines[frame].Row(area.X, area.Y).Weight(0);
    }
}
