namespace Imbrex.Engine.Resampling;

/// <summary>One or more planes of the same size, one behind the other, row after row.</summary>
/// <param name="Pixels">The values.</param>
/// <param name="Width">Columns.</param>
/// <param name="Height">Rows.</param>
/// <param name="Planes">Number of planes.</param>
internal readonly record struct Planar(float[] Pixels, int Width, int Height, int Planes)
{
    public int PlaneSize => Width * Height;

    public static Planar Allocate(int width, int height, int planes) => new(new float[width * height * planes], width, height, planes);
}
