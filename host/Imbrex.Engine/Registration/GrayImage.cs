namespace Imbrex.Engine.Registration;

/// <summary>A grey picture in encoded values (0 to 65535), row after row.</summary>
internal sealed class GrayImage(int width, int height) : IGreyPicture
{
    public int Width { get; } = width;

    public int Height { get; } = height;

    public float[] Pixels { get; } = new float[width * height];

    /// <inheritdoc/>
    public GreyPart Read(Block area) => GreyPart.Of(this);

    public ReadOnlySpan<float> Row(int y) => Pixels.AsSpan(y * Width, Width);
}
