using System.Runtime.InteropServices;
using Imbrex.Sdk.Exports;
using Xunit;

namespace Imbrex.Sdk.Tests.Exports;

public sealed class MosaicTiffStreamTests
{
    [Theory]
    [InlineData(3)]
    [InlineData(4)]
    public void Any_reading_and_seeking_gives_the_bytes_of_the_file(int bands)
    {
        var image = new GreyRamp(1100, 700, bands) { IccProfile = new byte[321] };
        var samples = new ushort[1100 * 700 * bands];
        image.ReadBlock(0, 0, 1100, 700, samples);
        byte[] header = TiffHeader.Build(new() { Width = 1100, Height = 700, Bands = bands, IccProfile = image.IccProfile, PixelsPerMm = 200 });
        byte[] file = [.. header, .. MemoryMarshal.AsBytes(samples.AsSpan())];

        using var stream = new MosaicTiffStream(image);
        Assert.Equal(file.Length, stream.Length);
        var copy = new MemoryStream();
        stream.CopyTo(copy, 12345);
        Assert.True(file.AsSpan().SequenceEqual(copy.ToArray()));

        var random = new Random(6);
        var part = new byte[40000];
        for (int i = 0; i < 300; i++)
        {
            long at = random.NextInt64(file.Length + 10);
            Assert.Equal(at, stream.Seek(at, SeekOrigin.Begin));
            int wanted = random.Next(part.Length), read = stream.Read(part, 0, wanted);
            Assert.Equal(Math.Max(0, Math.Min(wanted, file.Length - at)), read);
            Assert.True(file.AsSpan((int)Math.Min(at, file.Length), read).SequenceEqual(part.AsSpan(0, read)));
            Assert.Equal(at + read, stream.Position);
        }
        Assert.Equal(file.Length - 5, stream.Seek(-5, SeekOrigin.End));
        Assert.Equal(file.Length - 7, stream.Seek(-2, SeekOrigin.Current));
    }

    // Four terabytes that are nowhere: only what is looked at is made.
    [Fact]
    public void A_picture_of_any_size_has_a_length_and_can_be_sought()
    {
        var image = new GreyRamp(1_000_000, 700_000, 3);
        using var stream = new MosaicTiffStream(image);
        Assert.True(stream.Length > 4_200_000_000_000);
        stream.Seek(-6, SeekOrigin.End);
        var last = new byte[6];
        stream.ReadExactly(last);
        Assert.Equal(GreyRamp.Sample(999_999, 699_999, 2), BitConverter.ToUInt16(last, 4));
    }
}
