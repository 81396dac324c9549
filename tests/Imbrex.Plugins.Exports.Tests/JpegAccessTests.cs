using Imbrex.Sdk;
using Imbrex.Sdk.Testing.Fakes;
using MetadataExtractor;
using MetadataExtractor.Formats.Exif;
using MetadataExtractor.Formats.Icc;
using MetadataExtractor.Formats.Jpeg;
using NetVips;
using Xunit;

namespace Imbrex.Plugins.Exports.Tests;

public sealed class JpegAccessTests : IDisposable
{
    private readonly Exporting _export = new();

    public void Dispose() => _export.Dispose();

    // Sizes by hand: 1200 x 800 scaled by 1, 1/2, 600/1200 and 1/10, rounded.
    [Theory]
    [InlineData("0", "100", 1200, 800)]
    [InlineData("600", "100", 600, 400)]
    [InlineData("0", "50", 600, 400)]
    [InlineData("600", "10", 120, 80)]
    [InlineData("6000", "100", 1200, 800)]
    [InlineData("333", "100", 333, 222)]
    public async Task The_smaller_limit_counts_and_the_resolution_shrinks_with_the_picture(string side, string scale, int width, int height)
    {
        var image = new FakeMosaicImage(1200, 800, 3) { Paint = Slopes, IccProfile = Image.ProfileLoad("srgb") };
        string path = await _export.Run(new JpegAccess(), image, TestContext.Current.CancellationToken, ("long-side", side), ("scale", scale));
        MetadataExtractor.Directory[] directories = [.. ImageMetadataReader.ReadMetadata(path)];
        JpegDirectory jpeg = directories.OfType<JpegDirectory>().Single();
        Assert.Equal((width, height), (jpeg.GetImageWidth(), jpeg.GetImageHeight()));
        Assert.NotEmpty(directories.OfType<IccDirectory>());
        // Reference sheet 4.3: a pitch of 4.3 um is 100000/43 px/cm; Exif unit 3 is the centimetre.
        ExifIfd0Directory exif = directories.OfType<ExifIfd0Directory>().Single();
        Assert.Equal(3, exif.GetInt32(ExifDirectoryBase.TagResolutionUnit));
        Assert.Equal(100000 / 43.0 * width / 1200, exif.GetDouble(ExifDirectoryBase.TagXResolution), 0.01);
        Assert.Equal(100000 / 43.0 * height / 800, exif.GetDouble(ExifDirectoryBase.TagYResolution), 0.01);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Sixteen_bit_codes_become_the_nearest_eight_bit_ones(bool profiled)
    {
        var image = new FakeMosaicImage(256, 64, 3) { Paint = (x, _, _) => (ushort)(x * 257), IccProfile = profiled ? Image.ProfileLoad("srgb") : default };
        string path = await _export.Run(new JpegAccess(), image, TestContext.Current.CancellationToken, ("quality", "100"), ("chroma", "full"));
        using Image jpeg = Image.NewFromFile(path);
        for (int x = 0; x < 256; x++)
            Assert.Equal(x, jpeg[x, 32][1], 1.01);
    }

    [Fact]
    public async Task Colours_are_converted_to_srgb()
    {
        // libvips' built-in Display P3 profile: its full green lies outside sRGB, a middling one inside and is another number there.
        var image = new FakeMosaicImage(64, 64, 3) { Paint = (_, _, band) => (ushort)(band == 1 ? 32896 : 20000), IccProfile = Image.ProfileLoad("p3") };
        string path = await _export.Run(new JpegAccess(), image, TestContext.Current.CancellationToken, ("quality", "100"), ("chroma", "full"));
        using Image jpeg = Image.NewFromFile(path);
        double[] found = jpeg[32, 32];
        double[] expected = P3ToSrgb(20000 / 65535.0, 32896 / 65535.0, 20000 / 65535.0);
        for (int band = 0; band < 3; band++)
            Assert.Equal(expected[band], found[band], 2.0);
        Assert.True(found[0] < 20000 / 257.0 - 5);
    }

    [Fact]
    public async Task Holes_become_white()
    {
        var image = new FakeMosaicImage(100, 60, 4) { Paint = (x, _, band) => (ushort)(band == 3 ? (x < 50 ? 0 : 65535) : 10000) };
        string path = await _export.Run(new JpegAccess(), image, TestContext.Current.CancellationToken, ("quality", "100"));
        using Image jpeg = Image.NewFromFile(path);
        Assert.Equal(3, jpeg.Bands);
        Assert.All(jpeg[10, 30], value => Assert.InRange(value, 253, 255));
        Assert.All(jpeg[90, 30], value => Assert.Equal(10000 / 257.0, value, 2.0));
    }

    [Theory]
    [InlineData("full", 1)]
    [InlineData("half", 2)]
    public async Task Chroma_is_stored_as_asked(string chroma, int factor)
    {
        var image = new FakeMosaicImage(64, 64, 3) { Paint = Slopes };
        string path = await _export.Run(new JpegAccess(), image, TestContext.Current.CancellationToken, ("chroma", chroma));
        JpegComponent luminance = ImageMetadataReader.ReadMetadata(path).OfType<JpegDirectory>().Single().GetComponent(0)!;
        Assert.Equal(factor, luminance.HorizontalSamplingFactor);
    }

    [Fact]
    public async Task A_picture_too_long_for_a_jpeg_is_refused_with_its_size()
    {
        var image = new FakeMosaicImage(70000, 40, 3) { Paint = Slopes };
        RefusalException refusal = await Assert.ThrowsAsync<RefusalException>(() =>
            _export.Run(new JpegAccess(), image, TestContext.Current.CancellationToken, ("long-side", "0")));
        Assert.Contains("70000 x 40", refusal.Message);
    }

    [Fact]
    public async Task A_tall_picture_is_never_held_and_can_be_cancelled()
    {
        using var source = new CancellationTokenSource();
        int lastRow = 0;
        var image = new FakeMosaicImage(1000, 20000, 3)
        {
            Paint = Slopes,
            OnRead = y =>
            {
                lastRow = Math.Max(lastRow, y);
                if (y > 4000)
                    source.Cancel();
            },
        };
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => _export.Run(new JpegAccess(), image, source.Token, ("long-side", "2000")));
        Assert.InRange(lastRow, 4000, 12000);
        Assert.InRange(image.LargestBlock, 1, 1000 * 3 * 2000);
    }

    private static ushort Slopes(int x, int y, int band) => (ushort)(5000 + x * 20 % 50000 + y * 3 % 9000 + band * 100);

    // Display P3 to sRGB in linear light; matrix computed from the primaries of SMPTE RP 431-2 and BT.709 with D65, from memory.
    private static double[] P3ToSrgb(double r, double g, double b)
    {
        double[] light = [Decode(r), Decode(g), Decode(b)];
        double[][] matrix = [[1.2249401, -0.2249402, 0], [-0.0420569, 1.0420571, 0], [-0.0196376, -0.0786507, 1.0982884]];
        return [.. matrix.Select(row => 255 * Encode(row[0] * light[0] + row[1] * light[1] + row[2] * light[2]))];
    }

    private static double Decode(double v) => v <= 0.04045 ? v / 12.92 : Math.Pow((v + 0.055) / 1.055, 2.4);

    private static double Encode(double v) => v <= 0.0031308 ? 12.92 * v : 1.055 * Math.Pow(v, 1 / 2.4) - 0.055;
}
