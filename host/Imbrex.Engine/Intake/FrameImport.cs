using Imbrex.Engine.Documents;
using Imbrex.Engine.Imaging;
using NetVips;

namespace Imbrex.Engine.Intake;

/// <summary>
/// Brings frames into the plain rows that the merge reads: 16-bit RGB, as stored. Uncompressed TIFF is read where it lies; everything else is
/// decoded once into a scratch file.
/// </summary>
public static class FrameImport
{
    /// <summary>Opens one frame, decoding it if need be.</summary>
    /// <param name="file">The frame.</param>
    /// <param name="quarterTurns">Quarter turns clockwise from stored to upright.</param>
    /// <param name="scratch">File to decode into; its folder exists.</param>
    /// <exception cref="Sdk.InputException">The frame is damaged, or the scratch file cannot be written.</exception>
    public static Frame Import(FrameFile file, int quarterTurns, string scratch)
    {
        if (Plain(file) is { } plain)
            return new Frame(file.Path, plain.PixelsAt, plain.Width, plain.Height, quarterTurns);
        try
        {
            using Image image = FrameFile.Load(file.Path);
            using Image rgb = ToRgb16(image);
            rgb.Rawsave(scratch);
        }
        catch (VipsException e)
        {
            // libvips names neither side; a scratch file that is short for want of space is the disk's fault, not the frame's.
            throw IsDiskFull(e) ? OutputFile.NotWritable(scratch, new IOException("No space left on device", e)) : FrameFile.Unreadable(file.Path, e);
        }
        return new Frame(scratch, 0, file.Width, file.Height, quarterTurns);
    }

    /// <summary>Bytes of scratch that importing a frame takes: none for one that is read where it lies.</summary>
    public static long ScratchBytes(FrameFile file)
    {
        ArgumentNullException.ThrowIfNull(file);
        return Plain(file) is null ? Frame.PlainBytes(file.Width, file.Height) : 0;
    }

    private static PlainTiff? Plain(FrameFile file) => PlainTiff.TryRead(file.Path) is { Bands: Frame.Bands } plain ? plain : null;

    private static Image ToRgb16(Image image)
    {
        Image colour = image.Bands switch
        {
            1 => image.Bandjoin(image, image),
            4 => image.ExtractBand(0, n: 3),
            _ => image.Copy(),
        };
        if (colour.Format == Enums.BandFormat.Ushort)
            return colour;
        using (colour)
        {
            using Image wide = colour.Linear([257.0], [0.0]);
            return wide.Cast(Enums.BandFormat.Ushort);
        }
    }

    private static bool IsDiskFull(VipsException e) =>
        e.Message.Contains("No space left", StringComparison.OrdinalIgnoreCase) || e.Message.Contains("write failed", StringComparison.OrdinalIgnoreCase);
}
