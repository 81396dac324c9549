namespace Imbrex.Sdk.Exports;

/// <summary>What a plain 16-bit TIFF says of itself: uncompressed, chunky, RGB or RGBA, little-endian.</summary>
/// <remarks>TIFF 6.0 (1992) and the BigTIFF extension; tag numbers from memory, read back by two other libraries in the tests.</remarks>
public sealed record TiffPicture
{
    /// <summary>Pixels across, at least 1.</summary>
    public required int Width { get; init; }

    /// <summary>Pixels down, at least 1.</summary>
    public required int Height { get; init; }

    /// <summary>Samples per pixel: 3 (R, G, B) or 4 (with unassociated alpha).</summary>
    public int Bands { get; init; } = 3;

    /// <summary>ICC profile; empty for none.</summary>
    public ReadOnlyMemory<byte> IccProfile { get; init; }

    /// <summary>Pixels per millimetre, written as pixels per centimetre; null for no resolution.</summary>
    public double? PixelsPerMm { get; init; }

    /// <summary>Exif orientation, 1 to 8 (1: the first row is the top, the first column the left).</summary>
    public int Orientation { get; init; } = 1;

    /// <summary>Name of the program, ASCII.</summary>
    public string Software { get; init; } = "Imbrex";

    /// <summary>Facts of the exposure, or null.</summary>
    public TiffExposure? Exposure { get; init; }

    /// <summary>Bytes of the pixels: width * height * bands * 2.</summary>
    public long PixelBytes => (long)Width * Height * Bands * sizeof(ushort);
}

/// <summary>Facts of an exposure for the Exif directory.</summary>
/// <param name="Make">Maker of the camera, ASCII.</param>
/// <param name="Model">Model of the camera, ASCII.</param>
/// <param name="Taken">Local time of the exposure.</param>
/// <param name="Seconds">Exposure time, s.</param>
/// <param name="Aperture">f-number.</param>
/// <param name="Iso">ISO speed, 1 to 65535.</param>
/// <param name="FocalLengthMm">Focal length, mm.</param>
public sealed record TiffExposure(string Make, string Model, DateTime Taken, double Seconds, double Aperture, int Iso, double FocalLengthMm);
