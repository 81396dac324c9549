using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using NetVips;

namespace Imbrex.Plugins.Exports;

/// <summary>A smaller copy to look at: 8-bit sRGB, holes in white, resolution at the image plane scaled with the picture.</summary>
public sealed class JpegAccess : IExportTarget
{
    // A JPEG stores its sides in 16 bits; common writers stop at 65500 (libjpeg's JPEG_MAX_DIMENSION).
    private const int LargestSide = 65_500;

    /// <inheritdoc/>
    public PartDescription Description { get; } = new("jpeg-access", "8-bit sRGB JPEG to look at and to send",
        ParameterDefinition.Count("long-side", "Longest side at most, px; 0 for no limit", 6000, 0, LargestSide),
        ParameterDefinition.Number("scale", "Size against the master; the smaller of the two limits counts", 100, Unit.Percent, 0.1, 100),
        ParameterDefinition.Count("quality", "JPEG quality", 90, 1, 100),
        ParameterDefinition.Choice("chroma", "Whether colour is stored at half resolution: auto below quality 90", "auto", "full", "half"));

    /// <inheritdoc/>
    public async Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(request);
        string name = request.BaseName + ".jpg", path = Path.Combine(request.Folder, name);
        await Task.Run(() => Write(request.Image, request.Parameters, path, progress, cancellation), cancellation).ConfigureAwait(false);
        return new([await ExportedFile.MeasureAsync(request.Folder, name, cancellation).ConfigureAwait(false)]);
    }

    private static void Write(IMosaicImage picture, ParameterValues parameters, string path, IProgress<double> progress, CancellationToken cancellation)
    {
        (int width, int height) = SizeOf(picture, parameters);
        using var source = new MosaicSource(picture);
        using Image whole = OnWhite(source.Image);
        using Image sized = Sized(whole, width, height);
        using Image screen = ToScreen(sized, !picture.IccProfile.IsEmpty);
        // Integers round the size; the resolution follows what became of each side.
        using Image last = screen.Copy(xres: picture.PixelsPerMm * width / picture.Width, yres: picture.PixelsPerMm * height / picture.Height);
        // Optimised Huffman tables and progressive files would save some percent, and make libjpeg hold the whole picture.
        source.Run(last, () => last.Jpegsave(path,
            q: parameters.Whole("quality"),
            subsampleMode: parameters.Word("chroma") switch
            {
                "full" => Enums.ForeignSubsample.Off,
                "half" => Enums.ForeignSubsample.On,
                _ => Enums.ForeignSubsample.Auto,
            },
            profile: "srgb"), progress, cancellation);
    }

    private static (int Width, int Height) SizeOf(IMosaicImage picture, ParameterValues parameters)
    {
        double scale = parameters["scale"] / 100;
        int longest = Math.Max(picture.Width, picture.Height), limit = parameters.Whole("long-side");
        if (limit > 0)
            scale = Math.Min(scale, limit / (double)longest);
        (int width, int height) = (Math.Max(1, (int)Math.Round(picture.Width * scale)), Math.Max(1, (int)Math.Round(picture.Height * scale)));
        if (Math.Max(width, height) > LargestSide)
        {
            throw new RefusalException($"The JPEG would be {width} x {height} px, and a JPEG has at most {LargestSide} px on a side.", "long-side",
                $"Set long-side to {LargestSide} or less, or choose tiff-master.");
        }
        return (width, height);
    }

    private static Image OnWhite(Image image) =>
        image.Bands == 4 ? image.Flatten(background: [65535, 65535, 65535], maxAlpha: 65535) : image.Copy();

    // Both factors are given, so that the sides come out as counted above.
    private static Image Sized(Image image, int width, int height) => (width, height) == (image.Width, image.Height)
        ? image.Copy()
        : image.Resize(width / (double)image.Width, kernel: Enums.Kernel.Lanczos3, vscale: height / (double)image.Height);

    // 65535 / 257 = 255: codes are divided and rounded, not shifted, where no profile does it.
    private static Image ToScreen(Image image, bool hasProfile)
    {
        if (hasProfile)
            return image.IccTransform("srgb", embedded: true, intent: Enums.Intent.Relative, blackPointCompensation: true, depth: 8);
        using Image scaled = image * (1 / 257.0);
        using Image rounded = scaled.Rint();
        using Image bytes = rounded.Cast(Enums.BandFormat.Uchar);
        return bytes.Copy(interpretation: Enums.Interpretation.Srgb);
    }
}
