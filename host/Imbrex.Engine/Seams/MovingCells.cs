namespace Imbrex.Engine.Seams;

/// <summary>Cells in which pairs of frames disagree, gathered into things: cells that lie no more than two apart belong together.</summary>
internal sealed class MovingCells
{
    /// <summary>Cells that a gap inside one thing may have less one: parts of a coat may match the wall behind it.</summary>
    public const int Gap = 2;

    private readonly SortedDictionary<int, List<PairDifference>> _pairs = [];
    private readonly CellGrid _grid;

    public MovingCells(CellGrid grid, IEnumerable<PairDifference> pairs)
    {
        _grid = grid;
        foreach (PairDifference pair in pairs.Where(pair => !pair.IsMisfit))
            Add(pair);
    }

    /// <summary>The pairs that disagree in a cell.</summary>
    public IReadOnlyList<PairDifference> At(int cell) => _pairs.TryGetValue(cell, out List<PairDifference>? pairs) ? pairs : [];

    /// <summary>The cells of every thing, row after row; things in order of their first cell.</summary>
    public IEnumerable<IReadOnlyList<int>> Things()
    {
        var seen = new HashSet<int>();
        foreach (int first in _pairs.Keys)
        {
            if (!seen.Add(first))
                continue;
            var thing = new List<int> { first };
            for (int i = 0; i < thing.Count; i++)
                thing.AddRange(Near(thing[i]).Where(cell => _pairs.ContainsKey(cell) && seen.Add(cell)));
            thing.Sort();
            yield return thing;
        }
    }

    /// <summary>The cells no further than <see cref="Gap"/> from one, itself included.</summary>
    public IEnumerable<int> Near(int cell)
    {
        int column = cell % _grid.Columns, row = cell / _grid.Columns;
        for (int y = Math.Max(0, row - Gap); y <= Math.Min(_grid.Rows - 1, row + Gap); y++)
        {
            for (int x = Math.Max(0, column - Gap); x <= Math.Min(_grid.Columns - 1, column + Gap); x++)
                yield return y * _grid.Columns + x;
        }
    }

    private void Add(PairDifference pair)
    {
        SharedCells shared = pair.Shared;
        for (int row = shared.Top; row < shared.Top + shared.Rows; row++)
        {
            CellSpan span = shared.Span(row);
            for (int column = span.First; column <= span.Last; column++)
            {
                if (!pair.IsMoving(column, row))
                    continue;
                int cell = row * _grid.Columns + column;
                if (!_pairs.TryGetValue(cell, out List<PairDifference>? pairs))
                    _pairs.Add(cell, pairs = []);
                pairs.Add(pair);
            }
        }
    }
}
