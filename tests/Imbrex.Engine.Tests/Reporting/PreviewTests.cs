using Imbrex.Engine.Blending;
using Imbrex.Engine.Reporting;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Reporting;

public sealed class PreviewTests
{
    // Against the imaging library's own box reduction: as many pixels each way are averaged, the rest at the rim by themselves.
    [Theory]
    [InlineData(3)]
    [InlineData(4)]
    public void A_preview_gathered_in_blocks_is_the_picture_averaged_over_squares(int bands)
    {
        const int Width = 4096, Height = 300, Factor = 4;
        var samples = new ushort[Width * Height * bands];
        for (int i = 0; i < samples.Length; i++)
        {
            int x = i / bands % Width, y = i / bands / Width;
            bool isHole = bands == 4 && x < 64 && y < 64;
            samples[i] = isHole ? (ushort)0 : i % bands == 3 ? ushort.MaxValue : (ushort)((x * 13 + y * 97 + i % bands * 9000) % 65536);
        }
        var preview = new Preview(Width, Height, []);
        foreach (CanvasArea block in CanvasBlender.Blocks(Width, Height))
        {
            var part = new ushort[block.Size * bands];
            for (int row = 0; row < block.Height; row++)
                samples.AsSpan((((block.Y + row) * Width) + block.X) * bands, block.Width * bands).CopyTo(part.AsSpan(row * block.Width * bands));
            preview.Add(block, part, bands);
        }

        using Image picture = Image.NewFromMemory<ushort>(samples, Width, Height, bands, Enums.BandFormat.Ushort);
        using Image rgb = picture.Copy(interpretation: Enums.Interpretation.Rgb16);
        using Image opaque = bands == 4 ? rgb.Flatten([65535.0]) : rgb.Copy();
        using Image small = opaque.Shrink(Factor, Factor);
        using Image jpeg = Image.NewFromBuffer(preview.ToJpeg(), failOn: Enums.FailOn.Error);
        Assert.Equal((Width / Factor, Height / Factor), (jpeg.Width, jpeg.Height));
        using Image wide = jpeg.Linear([257.0], [0.0]);
        using Image difference = wide - small;
        using Image absolute = difference.Abs();
        // What is left is the JPEG's own loss, a few 8-bit steps on this harsh pattern.
        Assert.InRange(absolute.Avg() / 257, 0, 12);
        Assert.InRange(Math.Abs(wide.Avg() - small.Avg()) / 257, 0, 1);
        if (bands == 4)
            Assert.All(jpeg.Getpoint(8, 8), value => Assert.InRange(value, 252, 255));
    }
}
