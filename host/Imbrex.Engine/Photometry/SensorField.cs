using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Values on a coarse grid over the sensor, straight between the middles of its cells and beyond the outermost ones.
/// </summary>
/// <param name="Values">For R, G, B the cells, row after row.</param>
/// <param name="Columns">Cells across.</param>
/// <param name="Rows">Cells down.</param>
/// <param name="Cell">Side of a cell, px.</param>
/// <param name="Width">Pixels of the sensor across.</param>
/// <param name="Height">Pixels of the sensor down.</param>
internal sealed record SensorGrid(IReadOnlyList<double[]> Values, int Columns, int Rows, int Cell, int Width, int Height)
{
    /// <summary>The value at an offset from the sensor's centre, px, the body upright.</summary>
    public double At(int band, double dx, double dy)
    {
        (int column, double fx) = Split(dx + (Width - 1) / 2.0, Width, Columns);
        (int row, double fy) = Split(dy + (Height - 1) / 2.0, Height, Rows);
        double Row(int r)
        {
            double here = Values[band][r * Columns + column];
            return Columns == 1 ? here : here + fx * (Values[band][r * Columns + column + 1] - here);
        }
        double above = Row(row);
        return Rows == 1 ? above : above + fy * (Row(row + 1) - above);
    }

    /// <summary>The mean of such cells over all pixels.</summary>
    public double Mean(double[] cells)
    {
        double sum = 0;
        for (int i = 0; i < cells.Length; i++)
            sum += cells[i] * Math.Min(Cell, Width - i % Columns * Cell) * Math.Min(Cell, Height - i / Columns * Cell);
        return sum / ((double)Width * Height);
    }

    // The last cell may be narrower: its middle lies nearer.
    private (int Index, double Fraction) Split(double at, int size, int count)
    {
        double Middle(int cell) => (cell * Cell + Math.Min((cell + 1) * Cell, size) - 1) / 2.0;
        int index = Math.Clamp((int)Math.Floor((at - (Cell - 1) / 2.0) / Cell), 0, Math.Max(count - 2, 0));
        return (index, count == 1 ? 0 : (at - Middle(index)) / (Middle(index + 1) - Middle(index)));
    }
}

/// <summary>A grid over the sensor as one frame sees it.</summary>
/// <param name="Grid">The values.</param>
/// <param name="Turn">The body's turn.</param>
internal sealed record SensorField(SensorGrid Grid, Turn Turn) : ILightField
{
    /// <summary>The value at an offset from the centre of the upright frame, px.</summary>
    public double Value(int band, double dx, double dy)
    {
        PlanePoint own = new PlanePoint(dx, dy).Rotated(-Turn.Degrees());
        return Grid.At(band, own.X, own.Y);
    }

    public double Factor(int band, double dx, double dy) => Value(band, dx, dy);

    public int Knot => Math.Min(Grid.Cell, 32);
}
