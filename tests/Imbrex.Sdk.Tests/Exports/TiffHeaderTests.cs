using System.Buffers.Binary;
using System.Runtime.InteropServices;
using BitMiracle.LibTiff.Classic;
using Imbrex.Sdk.Exports;
using MetadataExtractor;
using MetadataExtractor.Formats.Exif;
using Xunit;

namespace Imbrex.Sdk.Tests.Exports;

/// <summary>The plain TIFF, read back by BitMiracle.LibTiff.NET and MetadataExtractor.</summary>
public sealed class TiffHeaderTests : IDisposable
{
    private readonly string _path = Path.GetTempFileName();

    public void Dispose() => File.Delete(_path);

    // BigTIFF as in the reference sheet, 4.3: magic 43, eight-byte offsets, a zero, then the directory's place.
    [Fact]
    public void A_big_header_starts_with_the_bytes_of_the_specification()
    {
        byte[] header = TiffHeader.Build(new() { Width = 3, Height = 2 }, bigTiff: true);
        Assert.Equal([0x49, 0x49, 0x2B, 0x00, 0x08, 0x00, 0x00, 0x00], header[..8]);
        long directory = BinaryPrimitives.ReadInt64LittleEndian(header.AsSpan(8));
        long entries = BinaryPrimitives.ReadInt64LittleEndian(header.AsSpan((int)directory));
        // Twenty bytes per entry, in rising order of tags.
        int[] tags = [.. Enumerable.Range(0, (int)entries).Select(i => (int)BinaryPrimitives.ReadUInt16LittleEndian(header.AsSpan((int)directory + 8 + 20 * i)))];
        Assert.Equal(tags.Order(), tags);
        Assert.Contains(256, tags);
        Assert.Equal(0, header.Length % 16);
    }

    [Fact]
    public void A_classic_header_starts_with_the_bytes_of_tiff_6() =>
        Assert.Equal([0x49, 0x49, 0x2A, 0x00, 0x08, 0x00, 0x00, 0x00], TiffHeader.Build(new() { Width = 3, Height = 2 })[..8]);

    // Reference sheet 4.3: 120 x 95 mm at pitches of 4.3 and 3.76 um take 3699296106 and 4837843260 bytes.
    [Theory]
    [InlineData(27907, 22093, 3, 3_699_296_106, 42)]
    [InlineData(31914, 25265, 3, 4_837_843_260, 43)]
    [InlineData(27907, 22093, 4, 0, 43)]
    public void The_variant_follows_the_size(int width, int height, int bands, long bytes, int magic)
    {
        var picture = new TiffPicture { Width = width, Height = height, Bands = bands, IccProfile = new byte[5000] };
        if (bytes > 0)
            Assert.Equal(bytes, picture.PixelBytes);
        Assert.Equal(magic, TiffHeader.Build(picture)[2]);
    }

    [Theory]
    [InlineData(3, false)]
    [InlineData(4, false)]
    [InlineData(3, true)]
    [InlineData(4, true)]
    public void Another_library_reads_every_sample(int bands, bool bigTiff)
    {
        var profile = new byte[777];
        new Random(1).NextBytes(profile);
        // Several strips: rows of 1 MiB / (6 * 900) are 194 or fewer.
        Write(new() { Width = 900, Height = 450, Bands = bands, IccProfile = profile, PixelsPerMm = 1 / 0.0043, Orientation = 6 }, bigTiff);
        using Tiff tiff = Tiff.Open(_path, "r");
        Assert.Equal(bigTiff ? 43 : 42, File.ReadAllBytes(_path)[2]);
        Assert.Equal((900, 450), (tiff.GetField(TiffTag.IMAGEWIDTH)[0].ToInt(), tiff.GetField(TiffTag.IMAGELENGTH)[0].ToInt()));
        Assert.Equal(Photometric.RGB, (Photometric)tiff.GetField(TiffTag.PHOTOMETRIC)[0].ToInt());
        Assert.Equal(Orientation.RIGHTTOP, (Orientation)tiff.GetField(TiffTag.ORIENTATION)[0].ToInt());
        Assert.Equal(100000 / 43.0, tiff.GetField(TiffTag.XRESOLUTION)[0].ToDouble(), 0.001);
        Assert.Equal(profile, tiff.GetField(TiffTag.ICCPROFILE)[1].ToByteArray());
        Assert.True(tiff.NumberOfStrips() > 1);
        if (bands == 4)
            Assert.Equal((short)ExtraSample.UNASSALPHA, tiff.GetField(TiffTag.EXTRASAMPLES)[1].ToShortArray()[0]);
        var row = new byte[tiff.ScanlineSize()];
        for (int y = 0; y < 450; y++)
        {
            Assert.True(tiff.ReadScanline(row, y));
            for (int i = 0; i < 900 * bands; i++)
                Assert.Equal(GreyRamp.Sample(i / bands, y, i % bands), BitConverter.ToUInt16(row, 2 * i));
        }
    }

    // Reference sheet 4.3: 100000/43 px/cm. Exposure times are written as photographers say them.
    [Theory]
    [InlineData(1 / 0.0043, 1 / 125.0, 100000, 43, 1, 125)]
    [InlineData(6000 / 36.0, 1 / 15.0, 5000, 3, 1, 15)]
    [InlineData(100, 30, 1000, 1, 30, 1)]
    [InlineData(232.5, 0.6, 2325, 1, 3, 5)]
    public void Fractions_are_the_simplest_that_are_exact(double pxPerMm, double seconds, int n, int d, int secondsN, int secondsD)
    {
        Write(new() { Width = 8, Height = 8, PixelsPerMm = pxPerMm, Exposure = new("a", "b", default, seconds, 8, 100, 150) }, false);
        MetadataExtractor.Directory[] directories = [.. ImageMetadataReader.ReadMetadata(_path)];
        Rational resolution = directories.OfType<ExifIfd0Directory>().Single().GetRational(ExifDirectoryBase.TagXResolution);
        Assert.Equal((n, d), (resolution.Numerator, resolution.Denominator));
        Rational time = directories.OfType<ExifSubIfdDirectory>().Single().GetRational(ExifDirectoryBase.TagExposureTime);
        Assert.Equal((secondsN, secondsD), (time.Numerator, time.Denominator));
    }

    [Theory]
    [InlineData(Math.PI)]
    [InlineData(1e-7)]
    [InlineData(4e8)]
    public void Other_numbers_are_kept_to_a_part_in_a_billion(double pxPerMm)
    {
        Write(new() { Width = 8, Height = 8, PixelsPerMm = pxPerMm }, false);
        Rational read = ImageMetadataReader.ReadMetadata(_path).OfType<ExifIfd0Directory>().Single().GetRational(ExifDirectoryBase.TagXResolution);
        Assert.Equal(1, (double)read.Numerator / read.Denominator / (10 * pxPerMm), 1e-9);
    }

    [Theory]
    [InlineData(1 / 125.0, 5.6)]
    [InlineData(30, 22)]
    [InlineData(1 / 8000.0, 1.4)]
    public void Exposure_facts_reach_exif(double seconds, double aperture)
    {
        Write(new()
        {
            Width = 8,
            Height = 8,
            Exposure = new("A maker", "A model", new(2026, 3, 4, 5, 6, 7), seconds, aperture, 400, 149.5),
        }, false);
        MetadataExtractor.Directory[] directories = [.. ImageMetadataReader.ReadMetadata(_path)];
        ExifSubIfdDirectory exif = directories.OfType<ExifSubIfdDirectory>().Single();
        Assert.Equal(seconds, exif.GetDouble(ExifDirectoryBase.TagExposureTime), 1e-6);
        Assert.Equal(aperture, exif.GetDouble(ExifDirectoryBase.TagFNumber), 1e-6);
        Assert.Equal(400, exif.GetInt32(ExifDirectoryBase.TagIsoEquivalent));
        Assert.Equal(149.5, exif.GetDouble(ExifDirectoryBase.TagFocalLength), 1e-6);
        Assert.Equal(new DateTime(2026, 3, 4, 5, 6, 7), exif.GetDateTime(ExifDirectoryBase.TagDateTimeOriginal));
        Assert.Equal("A maker", directories.OfType<ExifIfd0Directory>().Single().GetString(ExifDirectoryBase.TagMake));
    }

    [Fact]
    public void Pictures_that_cannot_be_are_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => TiffHeader.Build(new() { Width = 0, Height = 2 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => TiffHeader.Build(new() { Width = 2, Height = 2, Bands = 1 }));
    }

    private void Write(TiffPicture picture, bool bigTiff)
    {
        var samples = new ushort[picture.Width * picture.Height * picture.Bands];
        new GreyRamp(picture.Width, picture.Height, picture.Bands).ReadBlock(0, 0, picture.Width, picture.Height, samples);
        File.WriteAllBytes(_path, [.. TiffHeader.Build(picture, bigTiff), .. MemoryMarshal.AsBytes(samples.AsSpan())]);
    }
}
