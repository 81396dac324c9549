using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;

namespace PASCALParts;

/// <summary>A small view of the picture as a portable pixmap (PPM, 8 bit), each of its pixels the mean of a square of the picture.</summary>
/// <remarks>The host finds public classes that implement IExportTarget and have a constructor without parameters.</remarks>
public sealed class PASCALExport : IExportTarget
{
    /// <summary>Help, validation and the tests all read this declaration.</summary>
    public PartDescription Description { get; } = new("NAME", "A small view as a portable pixmap",
        ParameterDefinition.Count("long-side", "Pixels along the longer side, at most", 800, 1, 8000));

    /// <summary>Writes into request.Folder only: a fresh folder that the host moves into place when the receipt proves true.</summary>
    public async Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        string name = request.BaseName + ".ppm";
        await Task.Run(() => Write(request, Path.Combine(request.Folder, name), progress, cancellation), cancellation);
        return new([await ExportedFile.MeasureAsync(request.Folder, name, cancellation)]);
    }

    private static void Write(ExportRequest request, string path, IProgress<double> progress, CancellationToken cancellation)
    {
        IMosaicImage picture = request.Image;
        int square = (Math.Max(picture.Width, picture.Height) - 1) / request.Parameters.Whole("long-side") + 1;
        int width = picture.Width / square, height = picture.Height / square;
        if (width == 0 || height == 0)
            throw new RefusalException($"A picture of {picture.Width} x {picture.Height} px leaves nothing of one side at 1/{square}.", "long-side", $"Set long-side to {Math.Max(picture.Width, picture.Height)} or more.");
        using FileStream file = File.Create(path);
        file.Write(System.Text.Encoding.ASCII.GetBytes($"P6\n{width} {height}\n255\n"));

        // The picture may be larger than the memory: some rows are read at a time, and each such part hears a cancellation.
        var rows = new ushort[square * picture.Width * picture.Bands];
        var line = new byte[3 * width];
        for (int y = 0; y < height; y++)
        {
            cancellation.ThrowIfCancellationRequested();
            picture.ReadBlock(0, y * square, picture.Width, square, rows);
            for (int x = 0; x < width; x++)
            {
                for (int band = 0; band < 3; band++)
                    line[3 * x + band] = Mean(rows, picture, x * square, square, band);
            }
            file.Write(line);
            progress.Report((y + 1.0) / height);
        }
    }

    // The mean of the codes; 65535 / 257 = 255. Where there is no picture (the fourth band is 0) it is white.
    private static byte Mean(ushort[] rows, IMosaicImage picture, int left, int square, int band)
    {
        long sum = 0;
        for (int y = 0; y < square; y++)
        {
            for (int x = left; x < left + square; x++)
            {
                int at = (y * picture.Width + x) * picture.Bands;
                sum += picture.Bands == 4 && rows[at + 3] == 0 ? 65535 : rows[at + band];
            }
        }
        return (byte)((sum / ((long)square * square) + 128) / 257);
    }
}
