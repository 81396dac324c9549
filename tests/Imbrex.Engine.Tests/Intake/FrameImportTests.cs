using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Intake;

/// <summary>Files of every kind that is merged come in as 16-bit RGB; everything else is named and refused.</summary>
public sealed class FrameImportTests
{
    private const int Width = 61, Height = 45;

    [Theory]
    [InlineData("rgb16.tif", 3, true)]
    [InlineData("rgb16-lzw.tif", 3, true)]
    [InlineData("rgb16-deflate-tiled.tif", 3, true)]
    [InlineData("rgb8.tif", 3, false)]
    [InlineData("grey16.tif", 1, true)]
    [InlineData("grey8.png", 1, false)]
    [InlineData("rgb16.png", 3, true)]
    [InlineData("rgb8.png", 3, false)]
    [InlineData("rgba8.png", 4, false)]
    [InlineData("rgba16.tif", 4, true)]
    public void Lossless_files_come_in_exactly(string name, int bands, bool sixteen)
    {
        using var scratch = new Scratch();
        ushort[] codes = Codes(bands, sixteen);
        using (Image image = Picture(codes, bands, sixteen))
            Save(image, scratch[name]);
        ushort[] got = ReadIn(scratch, name);
        for (int pixel = 0; pixel < Width * Height; pixel++)
        {
            for (int band = 0; band < 3; band++)
                Assert.Equal(codes[pixel * bands + (bands == 1 ? 0 : band)], got[pixel * 3 + band]);
        }
    }

    [Theory]
    [InlineData(3)]
    [InlineData(1)]
    public void A_JPEG_comes_in_as_libvips_decodes_it_with_white_at_65535(int bands)
    {
        using var scratch = new Scratch();
        using (Image image = Picture(Codes(bands, false), bands, false))
            image.Jpegsave(scratch["a.jpg"], q: 95);
        using Image decoded = Image.NewFromFile(scratch["a.jpg"]);
        byte[] want = decoded.WriteToMemory<byte>();
        ushort[] got = ReadIn(scratch, "a.jpg");
        for (int i = 0; i < got.Length; i++)
            Assert.Equal(want[bands == 1 ? i / 3 : i] * 257, got[i]);
    }

    [Theory]
    [InlineData("cut.tif")]
    [InlineData("cut-lzw.tif")]
    [InlineData("cut.jpg")]
    [InlineData("cut.png")]
    [InlineData("text.tif")]
    [InlineData("empty.tif")]
    public void A_damaged_file_is_named_and_never_read_as_grey(string name)
    {
        using var scratch = new Scratch();
        string path = scratch[name];
        using (Image image = Picture(Codes(3, false), 3, false))
        {
            if (name.StartsWith("cut", StringComparison.Ordinal))
                Save(image, path);
        }
        if (name.StartsWith("cut", StringComparison.Ordinal))
        {
            byte[] whole = File.ReadAllBytes(path);
            // libvips writes the TIFF directory last; cut off less than the pixels would leave an unreadable head instead of missing pixels.
            File.WriteAllBytes(path, whole[..(whole.Length * 2 / 3)]);
        }
        else
        {
            File.WriteAllText(path, name == "text.tif" ? "These are my notes of the day.\n" : "");
        }
        InputException e = Assert.Throws<InputException>(() => ReadIn(scratch, name));
        Assert.Equal(path, e.Where);
        Assert.NotNull(e.Remedy);
    }

    [Fact]
    public void A_TIFF_whose_last_strips_are_missing_is_refused_though_its_head_is_whole()
    {
        using var scratch = new Scratch();
        PlanDocument plan = Plans.Of(Plans.Sensor(36, 24, 60, 40), 36, 24, Plans.Tile("a", 0, 0));
        new Engine.Simulation.SimulatedCamera(Engine.Simulation.AnalyticScene.Create(1, 3, 8, 30), plan, new()).Shoot(scratch.Folder, cancellation: TestContext.Current.CancellationToken);
        string path = scratch["frame-001.tif"];
        using (FileStream file = File.OpenWrite(path))
            file.SetLength(file.Length - 60 * 3 * 2);
        InputException e = Assert.Throws<InputException>(() => ReadIn(scratch, "frame-001.tif"));
        Assert.Equal(path, e.Where);
    }

    [Theory]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(7)]
    public void A_mirrored_tag_is_refused(int orientation)
    {
        using var scratch = new Scratch();
        using (Image image = Picture(Codes(3, false), 3, false))
        using (Image tagged = image.Mutate(m => m.Set(GValue.GIntType, "orientation", orientation)))
            tagged.Tiffsave(scratch["m.tif"]);
        InputException e = Assert.Throws<InputException>(() => FrameFile.Open(scratch["m.tif"]));
        Assert.Contains("mirrored", e.Message);
        Assert.Equal(scratch["m.tif"], e.Where);
    }

    [Fact]
    public void Four_inks_are_not_taken_for_RGB_with_transparency()
    {
        using var scratch = new Scratch();
        using (Image image = Picture(Codes(4, false), 4, false))
        using (Image inks = image.Copy(interpretation: Enums.Interpretation.Cmyk))
            inks.Jpegsave(scratch["inks.jpg"]);
        InputException e = Assert.Throws<InputException>(() => FrameFile.Open(scratch["inks.jpg"]));
        Assert.Contains("RGB", e.Remedy);
    }

    [Theory]
    [InlineData(1, 1, 0)]
    [InlineData(40, 60, 0)]
    [InlineData(60, 41, 90)]
    public void A_size_that_does_not_fit_is_refused_with_both_sizes(int width, int height, int turn)
    {
        var file = new FrameFile("x.tif", width, height, 1, []);
        InputException e = Assert.Throws<InputException>(() => file.QuarterTurns(Plans.Sensor(36, 24, 60, 40), Plans.Tile("a", 0, 0, turn)));
        Assert.Contains($"{width} x {height}", e.Message);
        Assert.Contains("60 x 40", e.Message);
        Assert.Equal("x.tif", e.Where);
    }

    [Theory]
    [InlineData(60, 40, 0, 0)]
    [InlineData(60, 40, 90, 1)]
    [InlineData(60, 40, 180, 2)]
    [InlineData(60, 40, 270, 3)]
    [InlineData(40, 60, 90, 0)]
    [InlineData(40, 60, 270, 0)]
    public void The_rule_turns_by_the_tile_unless_the_sides_are_swapped(int width, int height, int turn, int quarters)
    {
        // Whatever the tag says: 6 asks for a quarter turn.
        var file = new FrameFile("x.tif", width, height, 6, []);
        Assert.Equal(quarters, file.QuarterTurns(Plans.Sensor(36, 24, 60, 40), Plans.Tile("a", 0, 0, turn)));
    }

    // SHA-256 of "abc": FIPS 180-4, as printed in the standard's examples.
    [Fact]
    public void The_hash_is_SHA_256()
    {
        using var scratch = new Scratch();
        File.WriteAllText(scratch["abc"], "abc");
        Assert.Equal("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", FileHash.Of(scratch["abc"], TestContext.Current.CancellationToken));
    }

    private static ushort[] ReadIn(Scratch scratch, string name)
    {
        using Frame frame = FrameImport.Import(FrameFile.Open(scratch[name]), 0, scratch["scratch.raw"]);
        var samples = new ushort[frame.Width * frame.Height * 3];
        frame.ReadBlock(0, 0, frame.Width, frame.Height, samples);
        return samples;
    }

    private static void Save(Image image, string path)
    {
        if (path.EndsWith(".tif", StringComparison.Ordinal))
        {
            image.Tiffsave(path, compression: path.Contains("lzw") ? Enums.ForeignTiffCompression.Lzw : path.Contains("deflate") ? Enums.ForeignTiffCompression.Deflate : null,
                tile: path.Contains("tiled"), tileWidth: 16, tileHeight: 16);
        }
        else
        {
            image.WriteToFile(path);
        }
    }

    // Smooth, with every channel its own, so that JPEG has something to work with; 8-bit codes are given as 16-bit ones.
    private static ushort[] Codes(int bands, bool sixteen) =>
    [
        .. Enumerable.Range(0, Width * Height * bands).Select(i =>
        {
            int x = i / bands % Width, y = i / bands / Width, band = i % bands;
            double value = 0.5 + 0.5 * Math.Sin(x * 0.21 + band) * Math.Cos(y * 0.17 + 2 * band);
            return (ushort)(sixteen ? Math.Round(value * 65535) : Math.Round(value * 255) * 257);
        }),
    ];

    private static Image Picture(ushort[] codes, int bands, bool sixteen)
    {
        Image image = sixteen
            ? Image.NewFromMemoryCopy(codes, Width, Height, bands, Enums.BandFormat.Ushort)
            : Image.NewFromMemoryCopy(codes.Select(code => (byte)(code / 257)).ToArray(), Width, Height, bands, Enums.BandFormat.Uchar);
        Enums.Interpretation meaning = (bands, sixteen) switch
        {
            (1, true) => Enums.Interpretation.Grey16,
            (1, false) => Enums.Interpretation.Bw,
            (_, true) => Enums.Interpretation.Rgb16,
            _ => Enums.Interpretation.Srgb,
        };
        return image.Copy(interpretation: meaning);
    }
}
