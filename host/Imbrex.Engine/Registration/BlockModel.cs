using System.Numerics;

namespace Imbrex.Engine.Registration;

/// <summary>
/// What the other picture of a block may look like, to first order: its gradients (a shift), its detail (a gain, and a ramp of gain across and
/// down, as shading that is fixed to the sensor leaves it), a constant and a ramp of light. Sums are kept for each of many small cells, so that
/// cells in which something moved can be left out, and so that the scatter among cells tells how well a shift is known. One instance for each
/// worker; it holds memory for one block at a time.
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

    /// <summary>Products of the parameters' pictures that are summed in one go.</summary>
    private const int Together = 4;

    private readonly List<Block> _cells = [];
    private int _width, _height;
    private float _level;
    private float[] _planes = [];
    private double[] _gram = [];

    /// <summary>Prepares a block; the one before is forgotten.</summary>
    /// <param name="picture">The block with <see cref="Rim"/> pixels around it; the block's width is a multiple of 8.</param>
    public void Prepare(GrayImage picture)
    {
        (_width, _height) = (picture.Width - 2 * Rim, picture.Height - 2 * Rim);
        _level = Level(picture.Pixels.AsSpan(0, picture.Width * picture.Height));
        MatchBench.Room(ref _planes, Size * _width * _height);
        for (int row = 0; row < _height; row++)
            FillRow(picture, row);
        Divide();
        MatchBench.Room(ref _gram, Cells * Size * Size);
        for (int cell = 0; cell < Cells; cell++)
        {
            Span<double> gram = _gram.AsSpan(cell * Size * Size, Size * Size);
            for (int i = 0; i < Size; i++)
            {
                // Of each pair once, and a few twice.
                for (int j = i / Together * Together; j < Size; j += Together)
                    Multiply(_cells[cell], i, j, gram);
            }
        }
    }

    /// <summary>Number of cells.</summary>
    public int Cells => _cells.Count;

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
        for (int cell = 0; cell < Cells; cell++)
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

    private static float Level(ReadOnlySpan<float> pixels)
    {
        double sum = 0;
        foreach (float p in pixels)
            sum += p;
        return (float)(sum / pixels.Length);
    }

    // Derivatives to fourth order: (8 (f(1) - f(-1)) - (f(2) - f(-2))) / 12. Rows are whole vectors.
    private void FillRow(GrayImage picture, int row)
    {
        int plane = _width * _height;
        float step = 2f / Math.Max(_width - 1, 1);
        var down = new Vector<float>((float)(2.0 * row / Math.Max(_height - 1, 1) - 1));
        var level = new Vector<float>(_level);
        ReadOnlySpan<float> a = picture.Row(row)[2..], b = picture.Row(row + 1)[2..], here = picture.Row(row + 2), c = picture.Row(row + 3)[2..], e = picture.Row(row + 4)[2..];
        Span<float> target = _planes.AsSpan(row * _width);
        for (int column = 0; column < _width; column += Vector<float>.Count)
        {
            Vector<float> detail = At(here, column + 2) - level, across = (new Vector<float>(column) + Vector<float>.Indices) * step - Vector<float>.One;
            Vector<float> nearX = At(here, column + 3) - At(here, column + 1), farX = At(here, column + 4) - At(here, column);
            Vector<float> nearY = At(c, column) - At(b, column), farY = At(e, column) - At(a, column);
            ((nearX * 8 - farX) * (1f / 12)).CopyTo(target[column..]);
            ((nearY * 8 - farY) * (1f / 12)).CopyTo(target[(plane + column)..]);
            detail.CopyTo(target[(2 * plane + column)..]);
            (detail * across).CopyTo(target[(3 * plane + column)..]);
            (detail * down).CopyTo(target[(4 * plane + column)..]);
            Vector<float>.One.CopyTo(target[(5 * plane + column)..]);
            across.CopyTo(target[(6 * plane + column)..]);
            down.CopyTo(target[(7 * plane + column)..]);
        }
    }

    // The products over a cell of one parameter's picture with those of some that follow one another.
    private void Multiply(Block cell, int i, int j, Span<double> gram)
    {
        int plane = _width * _height;
        ReadOnlySpan<float> one = _planes.AsSpan(i * plane, plane), a = _planes.AsSpan(j * plane, plane), b = _planes.AsSpan((j + 1) * plane, plane),
            c = _planes.AsSpan((j + 2) * plane, plane), d = _planes.AsSpan((j + 3) * plane, plane);
        Vector<float> sumA = default, sumB = default, sumC = default, sumD = default;
        for (int row = cell.Y; row < cell.Y + cell.Height; row++)
        {
            int end = row * _width + cell.X + cell.Width;
            for (int k = row * _width + cell.X; k < end; k += Vector<float>.Count)
            {
                Vector<float> v = At(one, k);
                sumA += v * At(a, k);
                sumB += v * At(b, k);
                sumC += v * At(c, k);
                sumD += v * At(d, k);
            }
        }
        Span<double> sums = [Vector.Sum(sumA), Vector.Sum(sumB), Vector.Sum(sumC), Vector.Sum(sumD)];
        for (int n = 0; n < Together; n++)
            gram[i * Size + j + n] = gram[(j + n) * Size + i] = sums[n];
    }

    private static Vector<float> At(ReadOnlySpan<float> values, int place) => new(values[place..]);

    // Cells are whole vectors wide.
    private void Divide()
    {
        int side = _width * _height < 64 * 64 ? CellSide / 2 : CellSide;
        int columns = (_width + side - 1) / side, rows = (_height + side / 2) / side;
        _cells.Clear();
        for (int i = 0; i < columns * rows; i++)
        {
            int x = i % columns * side, y = _height * (i / columns) / rows;
            _cells.Add(new(x, y, Math.Min(side, _width - x), _height * (i / columns + 1) / rows - y));
        }
    }
}
