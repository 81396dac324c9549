using BitMiracle.LibTiff.Classic;
using Imbrex.Sdk;
using Imbrex.Sdk.Testing.Fakes;
using MetadataExtractor;
using MetadataExtractor.Formats.Exif;
using MetadataExtractor.Formats.Icc;
using NetVips;
using Xunit;

namespace Imbrex.Plugins.Exports.Tests;

public sealed class TiffMasterTests : IDisposable
{
    private readonly Exporting _export = new();

    public void Dispose() => _export.Dispose();

    [Theory]
    [InlineData("none", 3, Compression.NONE)]
    [InlineData("none", 4, Compression.NONE)]
    [InlineData("deflate", 3, Compression.ADOBE_DEFLATE)]
    [InlineData("deflate", 4, Compression.ADOBE_DEFLATE)]
    [InlineData("lzw", 3, Compression.LZW)]
    [InlineData("lzw", 4, Compression.LZW)]
    public async Task Other_libraries_read_the_same_samples_profile_and_resolution(string packing, int bands, Compression tag)
    {
        var image = new FakeMosaicImage(701, 503, bands) { Paint = FakeMosaicImage.Known, IccProfile = Image.ProfileLoad("srgb") };
        string path = await _export.Run(new TiffMaster(), image, TestContext.Current.CancellationToken, ("compression", packing));

        using (Tiff tiff = Tiff.Open(path, "r"))
        {
            Assert.Equal((int)tag, tiff.GetField(TiffTag.COMPRESSION)[0].ToInt());
            Assert.Equal(bands, tiff.GetField(TiffTag.SAMPLESPERPIXEL)[0].ToInt());
            Assert.Equal(ResUnit.CENTIMETER, (ResUnit)tiff.GetField(TiffTag.RESOLUTIONUNIT)[0].ToInt());
            // Reference sheet 4.3: a pitch of 4.3 um is 100000/43 px/cm.
            Assert.Equal(100000 / 43.0, tiff.GetField(TiffTag.XRESOLUTION)[0].ToDouble(), 0.01);
            Assert.Equal(100000 / 43.0, tiff.GetField(TiffTag.YRESOLUTION)[0].ToDouble(), 0.01);
            Assert.Equal(image.IccProfile.ToArray(), tiff.GetField(TiffTag.ICCPROFILE)[1].ToByteArray());
            var row = new byte[tiff.ScanlineSize()];
            for (int y = 0; y < 503; y++)
            {
                Assert.True(tiff.ReadScanline(row, y));
                for (int i = 0; i < 701 * bands; i++)
                    Assert.Equal(FakeMosaicImage.Known(i / bands, y, i % bands), BitConverter.ToUInt16(row, 2 * i));
            }
        }
        using Image again = Image.NewFromFile(path, failOn: Enums.FailOn.Error);
        Assert.Equal((701, 503, bands), (again.Width, again.Height, again.Bands));
        Assert.Equal(bands == 4, again.HasAlpha());
        Assert.Equal(1 / 0.0043, again.Xres, 0.001);
        Assert.Equal(FakeMosaicImage.Known(600, 400, 2), (ushort)again[600, 400][2]);

        MetadataExtractor.Directory[] directories = [.. ImageMetadataReader.ReadMetadata(path)];
        Assert.Equal(701, directories.OfType<ExifIfd0Directory>().Single().GetInt32(ExifDirectoryBase.TagImageWidth));
        Assert.NotEmpty(directories.OfType<IccDirectory>());
        Assert.Equal(1.0, _export.Progress.Max(), 2);
    }

    [Theory]
    [InlineData("none")]
    [InlineData("deflate")]
    public async Task The_picture_is_never_asked_for_in_one_piece(string packing)
    {
        var image = new FakeMosaicImage(3000, 2500, 3) { Paint = (x, y, _) => (ushort)(x + y) };
        await _export.Run(new TiffMaster(), image, TestContext.Current.CancellationToken, ("compression", packing));
        Assert.InRange(image.LargestBlock, 1, 3000 * 2500 * 3 / 4);
    }

    [Theory]
    [InlineData("none")]
    [InlineData("lzw")]
    public async Task Cancelling_stops_within_the_picture(string packing)
    {
        using var source = new CancellationTokenSource();
        int lastRow = 0;
        var image = new FakeMosaicImage(1000, 20000, 3)
        {
            Paint = (x, y, _) => (ushort)(x ^ y),
            OnRead = y =>
            {
                lastRow = Math.Max(lastRow, y);
                if (y > 4000)
                    source.Cancel();
            },
        };
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => _export.Run(new TiffMaster(), image, source.Token, ("compression", packing)));
        Assert.InRange(lastRow, 4000, 12000);
    }

    [Theory]
    [InlineData("none")]
    [InlineData("deflate")]
    public async Task A_master_that_breaks_off_tells_why(string packing)
    {
        var image = new FakeMosaicImage(1000, 4000, 3)
        {
            Paint = FakeMosaicImage.Known,
            OnRead = y =>
            {
                if (y > 2000)
                    throw new InputException("The disk is gone.");
            },
        };
        InputException refusal = await Assert.ThrowsAsync<InputException>(() => _export.Run(new TiffMaster(), image, TestContext.Current.CancellationToken, ("compression", packing)));
        Assert.Equal("The disk is gone.", refusal.Message);
    }

    [Fact]
    public void An_unknown_packing_is_refused_by_its_declaration()
    {
        Assert.Throws<InputException>(() => Imbrex.Sdk.Parameters.ParameterValues.Bind(new TiffMaster().Description.Parameters,
            new Dictionary<string, string> { ["compression"] = "zip" }));
    }
}
