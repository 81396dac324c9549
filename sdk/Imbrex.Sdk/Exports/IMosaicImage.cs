namespace Imbrex.Sdk.Exports;

/// <summary>
/// The merged picture as an export target sees it: 16-bit samples read block by block on demand, never the whole picture in one
/// array. Safe to read from several threads.
/// </summary>
public interface IMosaicImage
{
    /// <summary>Pixels across.</summary>
    int Width { get; }

    /// <summary>Pixels down.</summary>
    int Height { get; }

    /// <summary>Samples per pixel: 3 (R, G, B) or 4 (with alpha, 65535 where there is picture and 0 in holes).</summary>
    int Bands { get; }

    /// <summary>The ICC profile that the samples are encoded in; empty where the frames had none (sRGB is then assumed).</summary>
    ReadOnlyMemory<byte> IccProfile { get; }

    /// <summary>Pixels per millimetre on the image plane.</summary>
    double PixelsPerMm { get; }

    /// <summary>Reads a block of interleaved samples, row after row.</summary>
    /// <param name="x">First column, 0 to Width - width.</param>
    /// <param name="y">First row, 0 to Height - height.</param>
    /// <param name="width">Columns.</param>
    /// <param name="height">Rows.</param>
    /// <param name="samples">Receives width * height * Bands samples.</param>
    /// <exception cref="ArgumentOutOfRangeException">The block leaves the picture.</exception>
    /// <exception cref="InputException">The file behind the picture cannot be read.</exception>
    void ReadBlock(int x, int y, int width, int height, Span<ushort> samples);
}
