using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using NetVips;

namespace Imbrex.Benchmarks;

/// <summary>
/// The copy floor: the imaging library decodes the frames and pastes them at whole-pixel positions into one uncompressed 16-bit TIFF, in one lazy pipeline,
/// and nothing else.
/// </summary>
internal static class CopyFloor
{
    /// <summary>Writes the picture.</summary>
    public static void Write(TruthDocument truth, string frames, Canvas size, string file)
    {
        Image canvas = Image.Black(size.Width, size.Height, bands: 3).Cast(Enums.BandFormat.Ushort);
        foreach (TruthTilePart tile in truth.Tiles)
        {
            Image frame = Image.NewFromFile(Path.Combine(frames, tile.File), access: Enums.Access.Sequential, failOn: Enums.FailOn.Error);
            canvas = canvas.Insert(frame, (int)Math.Round(tile.XPx - (frame.Width - 1) / 2.0), (int)Math.Round(tile.YPx - (frame.Height - 1) / 2.0));
        }
        canvas.Tiffsave(file, bigtiff: true);
    }
}
