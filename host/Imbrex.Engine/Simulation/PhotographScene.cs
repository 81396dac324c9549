using Imbrex.Engine.Photometry;
using Imbrex.Sdk;
using NetVips;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// A photograph taken as the lens's image, pixel for pixel: never enlarged, and repeated mirrored on all sides where the format is
/// larger. Held whole in memory, 6 bytes per pixel.
/// </summary>
public sealed class PhotographScene : IScene
{
    private readonly ushort[] _rgb;
    private readonly int _offsetX;
    private readonly int _offsetY;

    private PhotographScene(ushort[] rgb, int width, int height, int offsetX, int offsetY) =>
        (_rgb, Width, Height, _offsetX, _offsetY) = (rgb, width, height, offsetX, offsetY);

    /// <summary>Pixels of the photograph across.</summary>
    public int Width { get; }

    /// <summary>Pixels of the photograph down.</summary>
    public int Height { get; }

    /// <summary>Reads a photograph.</summary>
    /// <param name="path">An image file of 8 or 16 bits; it is turned upright and converted to sRGB by its profile.</param>
    /// <param name="offsetX">Column of the photograph that comes to lie at the scene's column 0.</param>
    /// <param name="offsetY">Row of the photograph that comes to lie at the scene's row 0.</param>
    /// <exception cref="InputException">The file is missing, damaged or no picture.</exception>
    public static PhotographScene Load(string path, int offsetX = 0, int offsetY = 0)
    {
        if (!File.Exists(path))
            throw new InputException($"There is no photograph {path}.", path, "Check the path.");
        try
        {
            // libvips reads damaged files in silence unless told to fail on the first error.
            using Image file = Image.NewFromFile(path, access: Enums.Access.Sequential, failOn: Enums.FailOn.Error);
            using Image upright = file.Autorot();
            using Image coloured = upright.Contains("icc-profile-data")
                ? upright.IccTransform("srgb", embedded: true, intent: Enums.Intent.Relative, depth: 16)
                : SixteenBits(upright);
            using Image plain = coloured.HasAlpha() ? coloured.Flatten() : coloured;
            using Image rgb = plain.Bands == 3 ? plain.Copy() : plain.ExtractBand(0).Bandjoin(plain.ExtractBand(0), plain.ExtractBand(0));
            return new(rgb.Cast(Enums.BandFormat.Ushort).WriteToMemory<ushort>(), rgb.Width, rgb.Height, offsetX, offsetY);
        }
        catch (VipsException e)
        {
            throw new InputException($"Cannot read the photograph {path}.", path, "It may be damaged, or no picture; try another.", e);
        }
    }

    // libvips shifts 8-bit codes up by 8, which leaves white at 65280; white must be 65535.
    private static Image SixteenBits(Image image)
    {
        if (image.Format != Enums.BandFormat.Uchar)
            return image.Colourspace(Enums.Interpretation.Rgb16);
        using Image eight = image.Colourspace(Enums.Interpretation.Srgb);
        return eight * 257;
    }

    /// <inheritdoc/>
    public void Render(PixelBlock block, Span<float> rgbx)
    {
        ReadOnlySpan<float> decode = SrgbCurve.Decode16;
        int at = 0;
        for (int row = 0; row < block.Height; row++)
        {
            ReadOnlySpan<ushort> line = _rgb.AsSpan(Mirrored(block.Y + row + _offsetY, Height) * Width * 3, Width * 3);
            for (int column = 0; column < block.Width; column++, at += 4)
            {
                ReadOnlySpan<ushort> pixel = line.Slice(3 * Mirrored(block.X + column + _offsetX, Width), 3);
                (rgbx[at], rgbx[at + 1], rgbx[at + 2], rgbx[at + 3]) = (decode[pixel[0]], decode[pixel[1]], decode[pixel[2]], 0);
            }
        }
    }

    // 0 1 2 2 1 0 0 1 2 …
    private static int Mirrored(int at, int size)
    {
        int folded = at % (2 * size);
        if (folded < 0)
            folded += 2 * size;
        return folded < size ? folded : 2 * size - 1 - folded;
    }
}
