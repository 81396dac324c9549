namespace Imbrex.Engine.Seams;

/// <summary>What it costs to show frames in cells and to have seams between them; whole numbers, not negative.</summary>
internal interface ISeamCosts
{
    int Labels { get; }

    int Columns { get; }

    int Rows { get; }

    /// <summary>First and last row in which a frame may show.</summary>
    (int First, int Last) RowsOf(int label);

    /// <summary>The cells of a row in which a frame may show.</summary>
    CellSpan Allowed(int label, int row);

    /// <summary>What it costs to show a frame in a cell; asked only where it may show.</summary>
    int Show(int label, int column, int row);

    /// <summary>What it costs to have one frame in a cell and another in its right or lower neighbour.</summary>
    int Cut(int here, int there, int column, int row, int nextColumn, int nextRow);
}
