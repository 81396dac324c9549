using System.Numerics;

namespace Imbrex.Engine.Registration;

/// <summary>
/// What the other picture of a block may look like, to first order: its gradients (a shift), its detail (a gain, and a ramp of gain across and
/// down, as shading that is fixed to the sensor leaves it), a constant and a ramp of light. Sums are kept for each of many small cells, so that
/// cells in which something moved can be left out, and so that the scatter among cells tells how well a shift is known.
/// </summary>
/// <remarks>
/// Without the ramps of gain a shift would be biased by half their slope times the detail's power over that of its gradient: by hundredths of
/// a pixel for half a stop of shading in the corners.
/// </remarks>
internal sealed class BlockModel
{
    /// <summary>Number of parameters.</summary>
    public const int Size = 8;

    /// <summary>Places of the parameters.</summary>
    public const int ShiftX = 0, ShiftY = 1, Gain = 2, Constant = 5;

    /// <summary>Pixels that must lie around the block for its gradients.</summary>
    public const int Rim = 2;

    /// <summary>Strength of smoothed noise's gradients over its own: the squared weights of smoothing and derivative together, over those of the smoothing.</summary>
    public const double GradientNoise = 0.7965;

    /// <summary>Longest side of a cell; long against the reach of the smoothing, so that cells are independent of one another.</summary>
    private const int CellSide = 16;

    private readonly int _width, _height;
    private readonly float _level;
    private readonly float[] _planes;
    private readonly Block[] _cells;
    private readonly double[] _gram;

    /// <summary>Prepares a block.</summary>
    /// <param name="picture">The block with <see cref="Rim"/> pixels around it; the block's width is a multiple of 8.</param>
    public BlockModel(GrayImage picture)
    {
        (_width, _height) = (picture.Width - 2 * Rim, picture.Height - 2 * Rim);
        _level = Level(picture.Pixels);
        _planes = new float[Size * _width * _height];
        _cells = Divide(_width, _height);
        for (int row = 0; row < _height; row++)
            FillRow(picture, row);
        _gram = new double[_cells.Length * Size * Size];
        for (int cell = 0; cell < _cells.Length; cell++)
        {
            for (int i = 0; i < Size; i++)
            {
                for (int j = i; j < Size; j++)
                    _gram[(cell * Size + i) * Size + j] = _gram[(cell * Size + j) * Size + i] = Dot(_cells[cell], i, j);
            }
        }
    }

    /// <summary>Number of cells.</summary>
    public int Cells => _cells.Length;

    /// <summary>Pixels of a cell.</summary>
    public int Pixels(int cell) => _cells[cell].Width * _cells[cell].Height;

    /// <summary>Products of the parameters' pictures over a cell, row after row.</summary>
    public ReadOnlySpan<double> Gram(int cell) => _gram.AsSpan(cell * Size * Size, Size * Size);

    /// <summary>Products of another picture with the parameters' pictures over each cell, and with itself.</summary>
    /// <param name="picture">The other picture's pixels, as many as the block has.</param>
    /// <param name="products">Receives <see cref="Size"/> values for each cell.</param>
    /// <param name="squares">Receives one value for each cell.</param>
    public void Compare(ReadOnlySpan<float> picture, Span<double> products, Span<double> squares)
    {
        int plane = _width * _height;
        var level = new Vector<float>(_level);
        ReadOnlySpan<float> gx = _planes.AsSpan(0, plane), gy = _planes.AsSpan(plane, plane), d = _planes.AsSpan(2 * plane, plane),
            dx = _planes.AsSpan(3 * plane, plane), dy = _planes.AsSpan(4 * plane, plane), across = _planes.AsSpan(6 * plane, plane);
        for (int cell = 0; cell < _cells.Length; cell++)
        {
            Block c = _cells[cell];
            Vector<float> sx = default, sy = default, sd = default, sdx = default, sdy = default, sum = default, ramp = default, square = default;
            double down = 0;
            for (int row = c.Y; row < c.Y + c.Height; row++)
            {
                Vector<float> line = default;
                int end = row * _width + c.X + c.Width;
                for (int i = row * _width + c.X; i < end; i += Vector<float>.Count)
                {
                    Vector<float> w = new Vector<float>(picture[i..]) - level;
                    sx += w * new Vector<float>(gx[i..]);
                    sy += w * new Vector<float>(gy[i..]);
                    sd += w * new Vector<float>(d[i..]);
                    sdx += w * new Vector<float>(dx[i..]);
                    sdy += w * new Vector<float>(dy[i..]);
                    ramp += w * new Vector<float>(across[i..]);
                    square += w * w;
                    line += w;
                }
                sum += line;
                down += Vector.Sum(line) * (double)_planes[7 * plane + row * _width];
            }
            Span<double> p = products.Slice(cell * Size, Size);
            (p[0], p[1], p[2], p[3], p[4]) = (Vector.Sum(sx), Vector.Sum(sy), Vector.Sum(sd), Vector.Sum(sdx), Vector.Sum(sdy));
            (p[5], p[6], p[7]) = (Vector.Sum(sum), Vector.Sum(ramp), down);
            squares[cell] = Vector.Sum(square);
        }
    }

    private static float Level(float[] pixels)
    {
        double sum = 0;
        foreach (float p in pixels)
            sum += p;
        return (float)(sum / pixels.Length);
    }

    // Derivatives to fourth order: (8 (f(1) - f(-1)) - (f(2) - f(-2))) / 12.
    private void FillRow(GrayImage picture, int row)
    {
        int plane = _width * _height, at = row * _width;
        float down = (float)(2.0 * row / Math.Max(_height - 1, 1) - 1), step = 2f / Math.Max(_width - 1, 1);
        ReadOnlySpan<float> a = picture.Row(row), b = picture.Row(row + 1), here = picture.Row(row + 2), c = picture.Row(row + 3), e = picture.Row(row + 4);
        for (int column = 0; column < _width; column++)
        {
            float detail = here[column + 2] - _level, across = column * step - 1;
            _planes[at + column] = (8 * (here[column + 3] - here[column + 1]) - (here[column + 4] - here[column])) * (1f / 12);
            _planes[plane + at + column] = (8 * (c[column + 2] - b[column + 2]) - (e[column + 2] - a[column + 2])) * (1f / 12);
            _planes[2 * plane + at + column] = detail;
            _planes[3 * plane + at + column] = detail * across;
            _planes[4 * plane + at + column] = detail * down;
            _planes[5 * plane + at + column] = 1;
            _planes[6 * plane + at + column] = across;
            _planes[7 * plane + at + column] = down;
        }
    }

    private double Dot(Block cell, int i, int j)
    {
        int plane = _width * _height;
        ReadOnlySpan<float> a = _planes.AsSpan(i * plane, plane), b = _planes.AsSpan(j * plane, plane);
        Vector<float> sum = default;
        for (int row = cell.Y; row < cell.Y + cell.Height; row++)
        {
            int end = row * _width + cell.X + cell.Width;
            for (int k = row * _width + cell.X; k < end; k += Vector<float>.Count)
                sum += new Vector<float>(a[k..]) * new Vector<float>(b[k..]);
        }
        return Vector.Sum(sum);
    }

    // Cells are whole vectors wide.
    private static Block[] Divide(int width, int height)
    {
        int side = width * height < 64 * 64 ? CellSide / 2 : CellSide;
        int columns = (width + side - 1) / side, rows = (height + side / 2) / side;
        var cells = new Block[columns * rows];
        for (int i = 0; i < cells.Length; i++)
        {
            int x = i % columns * side, y = height * (i / columns) / rows;
            cells[i] = new(x, y, Math.Min(side, width - x), height * (i / columns + 1) / rows - y);
        }
        return cells;
    }
}
