namespace Imbrex.Engine.Seams;

/// <summary>
/// What seams cost on cells or on patches of cells (scale 1 or 4): Kwatra's difference of two frames on both sides of a cut (ACM TOG 22(3)
/// 2003), by noise and masking edges; a pull towards the middle of what frames share; softness; and frames bound to moving things.
/// </summary>
internal sealed class SeamCosts : ISeamCosts
{
    /// <summary>What a seam costs for each cell that it is long, where frames agree.</summary>
    private const int Length = 32;

    /// <summary>What a cut costs where the two frames cannot be compared.</summary>
    private const int Unknown = 1000;

    /// <summary>What a cell costs at the very edge of a frame, for the pull to the middle.</summary>
    private const float Pull = 16;

    /// <summary>What a cell costs more at the very edge of a frame, and how far from there, px: blending needs room.</summary>
    private const float Edge = 64, EdgeReach = 32;

    /// <summary>What a cell costs for each factor e by which a frame has less detail than the sharpest, beyond <see cref="LikeSharp"/>.</summary>
    private const float Softness = 64, LikeSharp = 0.35f, MostSoftness = 2;

    /// <summary>What it costs to show a frame in a cell that it does not wholly cover, or another than the bound one.</summary>
    private const int Partial = 1 << 14, Bound = 1 << 16;

    private readonly int _scale;
    private readonly CellGrid _grid;
    private readonly FrameOutline[] _outlines;
    private readonly FrameCells[] _cells;
    private readonly PairDifference?[,] _pairs;
    private readonly float[][] _softness;
    private readonly IReadOnlyList<CellPicture> _pictures;
    private readonly IReadOnlyDictionary<int, byte> _bound;

    private SeamCosts(int scale, CellGrid grid, FrameOutline[] outlines, FrameCells[] cells, PairDifference?[,] pairs, float[][] softness,
        IReadOnlyList<CellPicture> pictures, IReadOnlyDictionary<int, byte> bound) =>
        (_scale, _grid, _outlines, _cells, _pairs, _softness, _pictures, _bound) = (scale, grid, outlines, cells, pairs, softness, pictures, bound);

    public int Labels => _outlines.Length;

    public int Columns => _grid.Columns;

    public int Rows => _grid.Rows;

    /// <summary>Costs on cells.</summary>
    public static SeamCosts OnCells(FrameOutline[] outlines, IReadOnlyList<CellPicture> pictures, IReadOnlyList<PairDifference> pairs, IReadOnlyList<DetailMap> details,
        IReadOnlyDictionary<int, byte> bound)
    {
        var table = new PairDifference?[outlines.Length, outlines.Length];
        foreach (PairDifference pair in pairs)
            table[pair.Shared.A, pair.Shared.B] = table[pair.Shared.B, pair.Shared.A] = pair;
        float[][] softness = [.. details.Select((map, i) => PatchSoftness.Smooth(pictures[i], map))];
        return new(1, pictures[0].Cells.Grid, outlines, [.. pictures.Select(picture => picture.Cells)], table, softness, pictures, bound);
    }

    /// <summary>The same costs on patches of cells, for the first look.</summary>
    public SeamCosts OnPatches()
    {
        const int Side = 1 << CellPicture.PatchShift;
        var grid = new CellGrid(_grid.Side * Side, (_grid.Columns + Side - 1) / Side, (_grid.Rows + Side - 1) / Side);
        // A patch is bound to the frame that most of its bound cells are bound to.
        var bound = new Dictionary<int, byte>();
        foreach (IGrouping<int, KeyValuePair<int, byte>> patch in _bound.GroupBy(cell =>
                     (cell.Key / _grid.Columns >> CellPicture.PatchShift) * grid.Columns + (cell.Key % _grid.Columns >> CellPicture.PatchShift)))
            bound[patch.Key] = patch.GroupBy(cell => cell.Value).OrderByDescending(frames => frames.Count()).ThenBy(frames => frames.Key).First().Key;
        return new(Side, grid, _outlines, [.. _outlines.Select(outline => new FrameCells(outline, grid))], _pairs, _softness, _pictures, bound);
    }

    public (int First, int Last) RowsOf(int label) => (_cells[label].FirstRow, _cells[label].LastRow);

    public CellSpan Allowed(int label, int row) => _cells[label].Touched(row);

    public int Show(int label, int column, int row)
    {
        double x = (column + 0.5) * _grid.Side - 0.5, y = (row + 0.5) * _grid.Side - 0.5;
        int cost = _cells[label].Whole(row).Holds(column) ? 0 : Partial;
        if (_bound.TryGetValue(row * Columns + column, out byte bound) && bound != label)
            cost += Bound;
        (float own, float depth) = Place(label, x, y);
        float most = own, sharpest = float.NegativeInfinity;
        for (int other = 0; other < _outlines.Length; other++)
        {
            if (!_cells[other].Whole(row).Holds(column))
                continue;
            most = Math.Max(most, other == label ? own : Place(other, x, y).Weight);
            sharpest = Math.Max(sharpest, Detail(other, column, row));
        }
        float shallow = Math.Clamp(1 - depth / EdgeReach, 0, 1), softer = Math.Clamp(sharpest - Detail(label, column, row) - LikeSharp, 0, MostSoftness);
        float soft = (most > 0 ? Pull * (1 - own / most) : 0) + Edge * shallow * shallow + (float.IsFinite(softer) ? Softness * softer : 0);
        return (cost + (int)soft) * _scale * _scale;
    }

    public int Cut(int here, int there, int column, int row, int nextColumn, int nextRow)
    {
        PairDifference? pair = _pairs[here, there];
        return _scale * (Length + Difference(pair, column, row) + Difference(pair, nextColumn, nextRow));
    }

    private (float Weight, float Depth) Place(int frame, double x, double y)
    {
        (double dx, double dy) = _outlines[frame].ToFrame(x, y);
        double across = _outlines[frame].HalfWidth - Math.Abs(dx), down = _outlines[frame].HalfHeight - Math.Abs(dy);
        return across < 0 || down < 0 ? (0, (float)Math.Min(across, down)) : ((float)((across + 1) * (down + 1)), (float)Math.Min(across, down));
    }

    private int Difference(PairDifference? pair, int column, int row)
    {
        if (pair is null)
            return Unknown;
        if (_scale == 1)
            return pair.Shared.Holds(column, row) ? pair.Cost(column, row) : Unknown;
        return pair.MeanCost(column, row) ?? Unknown;
    }

    private float Detail(int frame, int column, int row)
    {
        int patchColumn = _scale == 1 ? column : column << CellPicture.PatchShift, patchRow = _scale == 1 ? row : row << CellPicture.PatchShift;
        if (_softness[frame].Length == 0)
            return float.NaN;
        return _softness[frame][_pictures[frame].PatchAt(patchColumn, patchRow)];
    }
}
