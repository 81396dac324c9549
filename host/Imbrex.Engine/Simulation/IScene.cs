namespace Imbrex.Engine.Simulation;

/// <summary>
/// The picture that the lens casts, upright, in linear light: an endless grid of pixels in which the finished picture's canvas is
/// the part from (0, 0) on. Between its pixels it is what band-limited interpolation gives.
/// </summary>
/// <remarks>Implementations may be called from several threads, and give the same pixel the same value in whichever block it lies.</remarks>
public interface IScene
{
    /// <summary>Renders a block.</summary>
    /// <param name="block">The block; it may lie anywhere, at negative coordinates too.</param>
    /// <param name="rgbx">Receives four floats per pixel, row after row: linear R, G, B with 1 for full light, and one unused.</param>
    void Render(PixelBlock block, Span<float> rgbx);
}

/// <summary>A rectangle of whole pixels.</summary>
/// <param name="X">First column.</param>
/// <param name="Y">First row.</param>
/// <param name="Width">Columns.</param>
/// <param name="Height">Rows.</param>
public readonly record struct PixelBlock(int X, int Y, int Width, int Height)
{
    /// <summary>Number of pixels.</summary>
    public int Area => checked(Width * Height);

    /// <summary>The block with a border on all four sides.</summary>
    public PixelBlock Grown(int border) => new(X - border, Y - border, Width + 2 * border, Height + 2 * border);
}
