namespace Imbrex.Engine.Seams;

/// <summary>
/// One frame averaged over the canvas's cells, in evened codes, where another frame shows the same; and how much fine detail it has there, over
/// patches of 4 x 4 cells.
/// </summary>
internal sealed class CellPicture
{
    /// <summary>Cells along the side of a patch, as a shift.</summary>
    public const int PatchShift = 2;

    private readonly int _width, _height, _patchLeft, _patchTop;
    private readonly CellShelf _shelf;
    private ushort[][]? _held;

    /// <summary>Prepares a frame, nothing of which has been read.</summary>
    /// <param name="cells">The cells that it shows.</param>
    /// <param name="shelf">Keeps what has been read.</param>
    public CellPicture(FrameCells cells, CellShelf shelf)
    {
        (Cells, _shelf) = (cells, shelf);
        _width = Math.Max(0, cells.Right - cells.Left + 1);
        _height = Math.Max(0, cells.LastRow - cells.FirstRow + 1);
        (_patchLeft, _patchTop) = (cells.Left >> PatchShift, cells.FirstRow >> PatchShift);
        PatchesAcross = _width == 0 ? 0 : (cells.Right >> PatchShift) - _patchLeft + 1;
        Patches = new PatchDetail[_height == 0 ? 0 : PatchesAcross * ((cells.LastRow >> PatchShift) - _patchTop + 1)];
    }

    public FrameCells Cells { get; }

    /// <summary>Bytes of the codes of a frame that stands nearly level or upright, in the smallest cells.</summary>
    public static long BytesFor(int width, int height) => (width / CellGrid.LeastSide + 16L) * (height / CellGrid.LeastSide + 16L) * Intake.Frame.Bands * sizeof(ushort);

    /// <summary>R, G, B of the cells that lie wholly in the frame and in tiles of a neighbour; elsewhere 0.</summary>
    public ushort[][] Codes => Held ?? _shelf.Fetch(this);

    /// <summary>The same where they are in memory; otherwise null.</summary>
    public ushort[][]? Held
    {
        get => Volatile.Read(ref _held);
        set => Volatile.Write(ref _held, value);
    }

    public PatchDetail[] Patches { get; }

    public int PatchesAcross { get; }

    /// <summary>Room for the codes.</summary>
    public ushort[][] NewCodes() => [new ushort[_width * _height], new ushort[_width * _height], new ushort[_width * _height]];

    /// <summary>Makes room for what is to be read, unless another worker has.</summary>
    public void Prepare()
    {
        lock (Patches)
            Held ??= NewCodes();
    }

    /// <summary>Place of a cell in <see cref="Codes"/>.</summary>
    public int At(int column, int row) => (row - Cells.FirstRow) * _width + column - Cells.Left;

    /// <summary>A channel's codes of cells of one row.</summary>
    public ReadOnlySpan<ushort> Row(int band, CellSpan span, int row) => Codes[band].AsSpan(At(span.First, row), span.Length);

    /// <summary>Whether a cell was read; a wholly black one counts as not.</summary>
    public bool IsRead(int column, int row) => (At(column, row), Codes) is var (at, codes) && (codes[0][at] | codes[1][at] | codes[2][at]) != 0;

    /// <summary>Place of a cell's patch in <see cref="Patches"/>.</summary>
    public int PatchAt(int column, int row) => ((row >> PatchShift) - _patchTop) * PatchesAcross + (column >> PatchShift) - _patchLeft;
}

/// <summary>
/// Fine detail of a patch: sums over its cells of the mean squared difference of pixels two apart, across and down, in evened codes squared
/// and such that white noise gives its variance.
/// </summary>
internal struct PatchDetail
{
    public float Across;
    public float Down;

    /// <summary>Sum of the cells' green.</summary>
    public float Level;

    /// <summary>Across and down together in the cell that has least.</summary>
    public float Quietest;
    public int Cells;
}
