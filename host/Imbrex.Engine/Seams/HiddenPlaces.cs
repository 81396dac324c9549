using Imbrex.Engine.Blending;

namespace Imbrex.Engine.Seams;

/// <summary>
/// The places of moving things, which one frame shows: what the others have there must not come near the picture, not even its low
/// frequencies by way of the blending.
/// </summary>
internal sealed class HiddenPlaces
{
    private readonly CellGrid _grid;
    private readonly Dictionary<int, byte> _shown;
    private readonly (CanvasArea Box, byte Shown)[] _boxes;

    /// <summary>Takes the places.</summary>
    /// <param name="grid">The cells.</param>
    /// <param name="shown">The one frame of every cell that is bound to it.</param>
    public HiddenPlaces(CellGrid grid, IReadOnlyDictionary<int, byte> shown)
    {
        (_grid, _shown) = (grid, new(shown));
        // Boxes of cells that hang together in blocks of 16 x 16 cells keep the look-up short.
        const int Block = 16;
        _boxes = [.. shown.GroupBy(cell => (cell.Key / grid.Columns / Block, cell.Key % grid.Columns / Block, cell.Value)).Select(block => (Box(block.Select(cell => cell.Key)), block.Key.Value))];
    }

    /// <summary>Whether a frame has something to hide in an area; may say yes too often.</summary>
    public bool Touch(int frame, CanvasArea area) => _boxes.Any(box => box.Shown != frame && Meets(box.Box, area));

    /// <summary>Marks the pixels of an area that a frame must not show, by a depth below 0.</summary>
    public void Mark(int frame, CanvasArea area, Span<float> depths)
    {
        foreach ((CanvasArea box, byte shown) in _boxes)
        {
            if (shown == frame || !Meets(box, area))
                continue;
            for (int y = Math.Max(box.Y, area.Y); y < Math.Min(box.Bottom, area.Bottom); y++)
            {
                for (int x = Math.Max(box.X, area.X); x < Math.Min(box.Right, area.Right); x++)
                {
                    if (_shown.TryGetValue(y / _grid.Side * _grid.Columns + x / _grid.Side, out byte only) && only != frame)
                        depths[(y - area.Y) * area.Width + x - area.X] = -1;
                }
            }
        }
    }

    private static bool Meets(CanvasArea a, CanvasArea b) => a.X < b.Right && b.X < a.Right && a.Y < b.Bottom && b.Y < a.Bottom;

    private CanvasArea Box(IEnumerable<int> cells)
    {
        int left = int.MaxValue, top = int.MaxValue, right = 0, bottom = 0;
        foreach (int cell in cells)
        {
            CanvasArea area = _grid.Area(cell % _grid.Columns, cell / _grid.Columns);
            (left, top, right, bottom) = (Math.Min(left, area.X), Math.Min(top, area.Y), Math.Max(right, area.Right), Math.Max(bottom, area.Bottom));
        }
        return new(left, top, right - left, bottom - top);
    }
}
