namespace Imbrex.Engine.Registration;

/// <summary>A grey picture in encoded values (0 to 65535), row after row.</summary>
internal sealed class GrayImage : IGreyPicture
{
    /// <summary>A black picture.</summary>
    public GrayImage(int width, int height)
        : this(width, height, new float[width * height])
    {
    }

    /// <summary>A picture in memory that is there already.</summary>
    /// <param name="width">Columns.</param>
    /// <param name="height">Rows.</param>
    /// <param name="pixels">Its pixels, row after row; there may be more room behind them.</param>
    public GrayImage(int width, int height, float[] pixels) => (Width, Height, Pixels) = (width, height, pixels);

    public int Width { get; }

    public int Height { get; }

    public float[] Pixels { get; }

    /// <inheritdoc/>
    public GreyPart Read(Block area) => GreyPart.Of(this);

    public ReadOnlySpan<float> Row(int y) => Pixels.AsSpan(y * Width, Width);
}
