using Imbrex.Engine.Delivery;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Delivery;

public sealed class MasterImageTests
{
    [Theory]
    [InlineData(3, false)]
    [InlineData(4, false)]
    [InlineData(3, true)]
    [InlineData(4, true)]
    public void Any_block_of_a_master_can_be_read(int bands, bool bigTiff)
    {
        using var scratch = new Scratch();
        byte[] profile = Image.ProfileLoad("srgb");
        Masters.Write(scratch["master.tif"], 301, 207, bands, bigTiff, profile);
        using MasterImage image = MasterImage.Open(Masters.Document(301, 207), scratch.Folder);
        Assert.Equal((301, 207, bands, 200.0), (image.Width, image.Height, image.Bands, image.PixelsPerMm));
        Assert.Equal(profile, image.IccProfile.ToArray());
        foreach ((int x, int y, int width, int height) in ((int, int, int, int)[])[(0, 0, 301, 207), (0, 100, 301, 5), (17, 30, 40, 50), (300, 206, 1, 1)])
        {
            var samples = new ushort[width * height * bands + 3];
            Array.Fill(samples, (ushort)4242);
            image.ReadBlock(x, y, width, height, samples);
            for (int i = 0; i < width * height * bands; i++)
                Assert.Equal(Masters.Sample(x + i / bands % width, y + i / bands / width, i % bands), samples[i]);
            Assert.All(samples[^3..], left => Assert.Equal(4242, left));
        }
    }

    [Fact]
    public void A_master_of_many_strips_is_read_from_many_threads()
    {
        using var scratch = new Scratch();
        Masters.Write(scratch["master.tif"], 1500, 900);
        using MasterImage image = MasterImage.Open(Masters.Document(1500, 900), scratch.Folder);
        Parallel.For(0, 64, i =>
        {
            var samples = new ushort[100 * 90 * 3];
            int x = i * 21, y = i * 12;
            image.ReadBlock(x, y, 100, 90, samples);
            for (int k = 0; k < samples.Length; k++)
                Assert.Equal(Masters.Sample(x + k / 3 % 100, y + k / 3 / 100, k % 3), samples[k]);
        });
    }

    [Theory]
    [InlineData(-1, 0, 2, 2)]
    [InlineData(0, 0, 11, 2)]
    [InlineData(9, 0, 2, 1)]
    [InlineData(0, 8, 1, 1)]
    [InlineData(0, 0, 0, 1)]
    public void Blocks_outside_the_picture_are_refused(int x, int y, int width, int height)
    {
        using var scratch = new Scratch();
        Masters.Write(scratch["master.tif"], 10, 8);
        using MasterImage image = MasterImage.Open(Masters.Document(10, 8), scratch.Folder);
        Assert.Throws<ArgumentOutOfRangeException>(() => image.ReadBlock(x, y, width, height, new ushort[600]));
    }

    [Fact]
    public void What_is_no_master_is_refused_in_words()
    {
        using var scratch = new Scratch();
        string path = scratch["master.tif"];
        Assert.Contains("Cannot read", Refusal(scratch));

        File.WriteAllText(path, "");
        Assert.Contains("not a master", Refusal(scratch));
        File.WriteAllText(path, "This is a text that somebody named master.tif.");
        Assert.Contains("not a master", Refusal(scratch));

        byte[] whole = File.ReadAllBytes(Masters.Write(path, 40, 30));
        File.WriteAllBytes(path, whole[..^1]);
        Assert.Contains("cut short", Refusal(scratch));
        File.WriteAllBytes(path, whole[..100]);
        Assert.Contains("not a master", Refusal(scratch));

        using (Image picture = Image.Black(40, 30, bands: 3).Cast(Enums.BandFormat.Ushort).Copy(interpretation: Enums.Interpretation.Rgb16))
        {
            picture.Tiffsave(path, compression: Enums.ForeignTiffCompression.Lzw);
            Assert.Contains("not a master", Refusal(scratch));
            picture.Tiffsave(path, tile: true, tileWidth: 16, tileHeight: 16);
            Assert.Contains("not a master", Refusal(scratch));
        }
        Masters.Write(path, 41, 30);
        Assert.Contains("41 x 30", Refusal(scratch));
    }

    // Every prefix and many damaged directories: never anything but a refusal in words.
    [Fact]
    public void Damage_to_the_directory_never_gives_anything_but_words()
    {
        using var scratch = new Scratch();
        byte[] whole = File.ReadAllBytes(Masters.Write(scratch["master.tif"], 8, 4, bigTiff: true));
        var random = new Random(4);
        for (int i = 0; i < 3000; i++)
        {
            byte[] damaged = [.. whole];
            for (int k = 0; k < 1 + i % 3; k++)
                damaged[random.Next(whole.Length - 8 * 4 * 6)] = (byte)random.Next(256);
            File.WriteAllBytes(scratch["master.tif"], damaged);
            try
            {
                using MasterImage image = MasterImage.Open(Masters.Document(8, 4), scratch.Folder);
                image.ReadBlock(0, 0, 8, 4, new ushort[8 * 4 * image.Bands]);
            }
            catch (InputException)
            {
                // As it should.
            }
        }
    }

    private static string Refusal(Scratch scratch)
    {
        InputException refusal = Assert.Throws<InputException>(() => MasterImage.Open(Masters.Document(40, 30), scratch.Folder));
        Assert.NotNull(refusal.Remedy);
        return refusal.Message;
    }
}
