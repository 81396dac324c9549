using System.Runtime.InteropServices;
using Imbrex.Sdk.Exports;
using NetVips;
using Xunit;

namespace Imbrex.Reference.Tests.Files;

/// <summary>
/// Exif 2.3 (JEITA CP-3451), tag 274: which side of the scene the stored row 0 and column 0 are. Checked is that our files carry the
/// tag so that libvips turns them as the table says: everything that reads orientation here relies on that.
/// </summary>
public sealed class OrientationTests : IDisposable
{
    private readonly string _path = Path.GetTempFileName();

    public void Dispose() => File.Delete(_path);

    // Row 0 is the scene's top, bottom, left or right; column 0 likewise.
    [Theory]
    [InlineData(1, "top", "left")]
    [InlineData(2, "top", "right")]
    [InlineData(3, "bottom", "right")]
    [InlineData(4, "bottom", "left")]
    [InlineData(5, "left", "top")]
    [InlineData(6, "right", "top")]
    [InlineData(7, "right", "bottom")]
    [InlineData(8, "left", "bottom")]
    public void Libvips_turns_our_files_as_the_table_says(int tag, string rowZero, string columnZero)
    {
        const int Width = 4, Height = 3;
        byte[] header = TiffHeader.Build(new() { Width = Width, Height = Height, Orientation = tag });
        ushort[] samples = [.. Enumerable.Range(0, Width * Height).SelectMany(i => Enumerable.Repeat((ushort)(i * 100), 3))];
        File.WriteAllBytes(_path, [.. header, .. MemoryMarshal.AsBytes(samples.AsSpan())]);

        using Image stored = Image.NewFromFile(_path, failOn: Enums.FailOn.Error);
        using Image upright = stored.Autorot();
        bool swapped = rowZero is "left" or "right";
        Assert.Equal(swapped ? (Height, Width) : (Width, Height), (upright.Width, upright.Height));
        for (int row = 0; row < Height; row++)
        {
            for (int column = 0; column < Width; column++)
            {
                (int x, int y) = (0, 0);
                Place(rowZero, row);
                Place(columnZero, column);
                Assert.Equal((row * Width + column) * 100, upright[x, y][0]);

                void Place(string side, int distance)
                {
                    switch (side)
                    {
                        case "left": x = distance; break;
                        case "right": x = upright.Width - 1 - distance; break;
                        case "top": y = distance; break;
                        default: y = upright.Height - 1 - distance; break;
                    }
                }
            }
        }
    }
}
