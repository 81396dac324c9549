using System.Runtime.InteropServices;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using NetVips;

namespace Imbrex.Plugins.Exports;

/// <summary>The master as a 16-bit TIFF with its colour profile and the resolution at the image plane.</summary>
public sealed class TiffMaster : IExportTarget
{
    private const string Plain = "none", Deflate = "deflate", Lzw = "lzw";
    private const int RowsTargetBytes = 8 << 20;

    /// <inheritdoc/>
    public PartDescription Description { get; } = new("tiff-master", "16-bit TIFF of the whole picture, BigTIFF where it must be",
        ParameterDefinition.Choice("compression", "How the pixels are packed, always without loss", Plain, Deflate, Lzw));

    /// <inheritdoc/>
    public async Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(request);
        string name = request.BaseName + ".tif", path = Path.Combine(request.Folder, name);
        string compression = request.Parameters.Word("compression");
        await Task.Run(() =>
        {
            if (compression == Plain)
                WritePlain(request.Image, path, progress, cancellation);
            else
                WritePacked(request.Image, path, compression, progress, cancellation);
        }, cancellation).ConfigureAwait(false);
        return new([await ExportedFile.MeasureAsync(request.Folder, name, cancellation).ConfigureAwait(false)]);
    }

    private static void WritePlain(IMosaicImage image, string path, IProgress<double> progress, CancellationToken cancellation)
    {
        TiffPicture picture = Described(image);
        byte[] header = TiffHeader.Build(picture);
        using var file = new FileStream(path, new FileStreamOptions
        {
            Mode = FileMode.CreateNew,
            Access = FileAccess.Write,
            BufferSize = 0,
            PreallocationSize = header.Length + picture.PixelBytes,
        });
        file.Write(header);
        int rowSamples = image.Width * image.Bands;
        var rows = new ushort[rowSamples * Math.Clamp(RowsTargetBytes / (rowSamples * sizeof(ushort)), 1, image.Height)];
        for (int y = 0; y < image.Height; y += rows.Length / rowSamples)
        {
            cancellation.ThrowIfCancellationRequested();
            int height = Math.Min(rows.Length / rowSamples, image.Height - y);
            Span<ushort> part = rows.AsSpan(0, height * rowSamples);
            image.ReadBlock(0, y, image.Width, height, part);
            file.Write(MemoryMarshal.AsBytes(part));
            progress.Report((y + height) / (double)image.Height);
        }
        file.Flush(flushToDisk: true);
    }

    private static void WritePacked(IMosaicImage image, string path, string compression, IProgress<double> progress, CancellationToken cancellation)
    {
        using var source = new MosaicSource(image);
        // What packing saves is not known beforehand, so that the choice of the variant goes by the unpacked size.
        bool big = TiffHeader.Build(Described(image))[2] == 43;
        source.Run(source.Image, () => source.Image.Tiffsave(path,
            compression: compression == Deflate ? Enums.ForeignTiffCompression.Deflate : Enums.ForeignTiffCompression.Lzw,
            predictor: Enums.ForeignTiffPredictor.Horizontal,
            bigtiff: big,
            resunit: Enums.ForeignTiffResunit.Cm,
            xres: image.PixelsPerMm,
            yres: image.PixelsPerMm,
            keep: Enums.ForeignKeep.Icc), progress, cancellation);
    }

    private static TiffPicture Described(IMosaicImage image) => new()
    {
        Width = image.Width,
        Height = image.Height,
        Bands = image.Bands,
        IccProfile = image.IccProfile,
        PixelsPerMm = image.PixelsPerMm,
    };
}
