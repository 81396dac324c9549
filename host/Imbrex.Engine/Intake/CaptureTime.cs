using Imbrex.Sdk;
using MetadataExtractor;
using MetadataExtractor.Formats.Exif;

namespace Imbrex.Engine.Intake;

/// <summary>When a frame was taken.</summary>
internal static class CaptureTime
{
    /// <summary>Exif's DateTimeOriginal with its fraction of a second where there is one.</summary>
    /// <exception cref="InputException">The file tells no time.</exception>
    public static DateTime Of(string path)
    {
        try
        {
            ExifSubIfdDirectory? exif = ImageMetadataReader.ReadMetadata(path).OfType<ExifSubIfdDirectory>().FirstOrDefault();
            if (exif is not null && exif.TryGetDateTime(ExifDirectoryBase.TagDateTimeOriginal, out DateTime taken))
                return taken + Fraction(exif.GetString(ExifDirectoryBase.TagSubsecondTimeOriginal));
        }
        catch (Exception e) when (e is ImageProcessingException or IOException)
        {
            throw new InputException("The frame's metadata cannot be read.", path, "Order the frames by name, or copy the frame from the card again.", e);
        }
        throw new InputException("The frame does not tell when it was taken.", path, "Order the frames by name, or name each tile's frame with \"file\" in the plan.");
    }

    // "05" is five hundredths.
    private static TimeSpan Fraction(string? digits) =>
        double.TryParse("0." + digits?.Trim(), System.Globalization.NumberStyles.AllowDecimalPoint, System.Globalization.CultureInfo.InvariantCulture, out double seconds)
            ? TimeSpan.FromSeconds(seconds)
            : TimeSpan.Zero;
}
