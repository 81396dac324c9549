using System.Buffers;

namespace Imbrex.Engine.Registration;

/// <summary>A grey picture that is read part by part, so that not all of it need be in memory.</summary>
internal interface IGreyPicture
{
    /// <summary>Columns.</summary>
    int Width { get; }

    /// <summary>Rows.</summary>
    int Height { get; }

    /// <summary>Reads a part, or more than that.</summary>
    /// <param name="area">What is needed; it lies inside the picture.</param>
    GreyPart Read(Block area);
}

/// <summary>A frame in grey at reduced sizes, for the coarse search.</summary>
internal interface IReducedFrame
{
    /// <summary>The grey picture of a level, <see cref="GrayPyramid.FinestLevel"/> or coarser.</summary>
    IGreyPicture this[int level] { get; }
}

/// <summary>A part of a grey picture, addressed by the whole picture's columns and rows. Given back to the pool when disposed of.</summary>
internal sealed class GreyPart : IDisposable
{
    private readonly bool _isRented;

    private GreyPart(Block area, float[] pixels, bool isRented) => (Area, Pixels, _isRented) = (area, pixels, isRented);

    /// <summary>Where it lies in the whole picture.</summary>
    public Block Area { get; }

    /// <summary>Its pixels, row after row without gaps; there may be more room behind them.</summary>
    public float[] Pixels { get; }

    /// <summary>The whole of a picture that is in memory.</summary>
    public static GreyPart Of(GrayImage picture) => new(new(0, 0, picture.Width, picture.Height), picture.Pixels, isRented: false);

    /// <summary>A part to be filled; its pixels are anything until then.</summary>
    public static GreyPart Rent(Block area) => new(area, ArrayPool<float>.Shared.Rent(area.Width * area.Height), isRented: true);

    /// <summary>Place of a pixel in <see cref="Pixels"/>.</summary>
    public int At(int x, int y) => (y - Area.Y) * Area.Width + x - Area.X;

    /// <summary>So many pixels of a row from a column on.</summary>
    public ReadOnlySpan<float> Row(int x, int y, int count) => Pixels.AsSpan(At(x, y), count);

    public void Dispose()
    {
        if (_isRented)
            ArrayPool<float>.Shared.Return(Pixels);
    }
}

/// <summary>A picture upside down.</summary>
internal sealed class TurnedOverPicture(IGreyPicture upright) : IGreyPicture
{
    public int Width => upright.Width;

    public int Height => upright.Height;

    public GreyPart Read(Block area)
    {
        (int x, int y) = (Width - area.X - area.Width, Height - area.Y - area.Height);
        using GreyPart source = upright.Read(new(x, y, area.Width, area.Height));
        var turned = GreyPart.Rent(area);
        for (int row = 0; row < area.Height; row++)
        {
            Span<float> target = turned.Pixels.AsSpan(row * area.Width, area.Width);
            source.Row(x, y + area.Height - 1 - row, area.Width).CopyTo(target);
            target.Reverse();
        }
        return turned;
    }
}
