namespace Imbrex.Engine.Blending;

/// <summary>A rectangle of canvas pixels.</summary>
internal readonly record struct CanvasArea(int X, int Y, int Width, int Height)
{
    public int Right => X + Width;

    public int Bottom => Y + Height;

    public int Size => Width * Height;

    public CanvasArea Grown(int by) => new(X - by, Y - by, Width + 2 * by, Height + 2 * by);
}
