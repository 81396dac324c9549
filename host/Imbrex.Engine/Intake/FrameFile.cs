using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using NetVips;

namespace Imbrex.Engine.Intake;

/// <summary>What a file from the camera says of itself, checked before anything is read from it.</summary>
/// <param name="Path">The file.</param>
/// <param name="Width">Stored pixels across.</param>
/// <param name="Height">Stored pixels down.</param>
/// <param name="OrientationTag">Exif orientation: 1, 3, 6 or 8.</param>
/// <param name="IccProfile">The embedded profile; empty for none.</param>
public sealed record FrameFile(string Path, int Width, int Height, int OrientationTag, byte[] IccProfile)
{
    /// <summary>Reads the head of a frame.</summary>
    /// <exception cref="InputException">Not a picture that can be read, mirrored, or of a kind that is not merged.</exception>
    public static FrameFile Open(string path)
    {
        using Image image = Load(path);
        if (image.Bands is not (1 or 3 or 4))
            throw new InputException($"The frame has {image.Bands} colour channels.", path, "Give frames in grey or RGB.");
        if (image.Interpretation is Enums.Interpretation.Cmyk or Enums.Interpretation.Lab or Enums.Interpretation.Labs)
            throw new InputException($"The frame's colours are {image.Interpretation}, not RGB.", path, "Give frames in grey or RGB.");
        if (image.Format is not (Enums.BandFormat.Uchar or Enums.BandFormat.Ushort))
            throw new InputException($"The frame's samples are of the kind {image.Format}.", path, "Give frames with 8 or 16 bits a channel.");
        int orientation = image.GetTypeOf("orientation") != 0 ? (int)image.Get("orientation") : 1;
        if (orientation is 2 or 4 or 5 or 7)
            throw new InputException("The frame is tagged as mirrored.", path, "No camera mirrors its pictures: undo the mirroring, or correct the orientation tag.");
        byte[] profile = image.GetTypeOf("icc-profile-data") != 0 ? (byte[])image.Get("icc-profile-data") : [];
        return new(path, image.Width, image.Height, orientation, profile);
    }

    /// <summary>Opens a frame for one pass from top to bottom. A damaged file is an error, never grey pixels.</summary>
    /// <exception cref="InputException">Not a picture that can be read.</exception>
    internal static Image Load(string path)
    {
        try
        {
            return Image.NewFromFile(path, access: Enums.Access.Sequential, failOn: IsJpeg(path) ? Enums.FailOn.Warning : Enums.FailOn.Error);
        }
        catch (VipsException e)
        {
            throw Unreadable(path, e);
        }
    }

    // To a JPEG decoder damaged data is worth a warning only, and it goes on with grey or wrong pixels.
    private static bool IsJpeg(string path) => System.IO.Path.GetExtension(path).ToUpperInvariant() is ".JPG" or ".JPEG";

    internal static InputException Unreadable(string path, Exception cause) =>
        new("The frame cannot be read: it is damaged, cut short, or not a TIFF, JPEG or PNG picture.", path, "Copy it from the card again.", cause);

    /// <summary>
    /// Quarter turns clockwise that make the stored pixels stand upright, by the rule of the design: a file with the sensor's own
    /// sides is turned by the tile's turn whatever its tag says; one with swapped sides has been turned already.
    /// </summary>
    /// <exception cref="InputException">The size is neither the sensor's nor the sensor's with sides swapped by the tile's turn.</exception>
    public int QuarterTurns(ISensor sensor, TilePart tile)
    {
        if ((Width, Height) == (sensor.WidthPx, sensor.HeightPx))
            return tile.TurnDeg / 90;
        bool upright = tile.TurnDeg is 90 or 270;
        if (upright && (Width, Height) == (sensor.HeightPx, sensor.WidthPx))
            return 0;
        string expected = $"{sensor.WidthPx} x {sensor.HeightPx} px" + (upright ? $", or {sensor.HeightPx} x {sensor.WidthPx} px if turned already" : "");
        throw new InputException($"The frame of tile {tile.Id} is {Width} x {Height} px; the plan expects {expected}.", Path,
            "Check that the frame belongs to this take and was exported at full size, and the sensor's size in the plan.");
    }
}
