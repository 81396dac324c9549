namespace Imbrex.Sdk.Geometry;

/// <summary>Width and height of an upright rectangle on the image plane, in millimetres.</summary>
/// <param name="Width">Millimetres across.</param>
/// <param name="Height">Millimetres up and down.</param>
public readonly record struct PlaneSize(double Width, double Height)
{
    /// <summary>The size after a camera turn: width and height change places at a quarter turn.</summary>
    public PlaneSize Turned(Turn turn) => turn.IsUpright() ? new(Height, Width) : this;

    /// <summary>The shorter side, mm.</summary>
    public double ShortSide => Math.Min(Width, Height);

    /// <summary>Area in square millimetres.</summary>
    public double Area => Width * Height;
}
