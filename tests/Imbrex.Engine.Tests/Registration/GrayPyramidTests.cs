using System.Security.Cryptography;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Tests.Intake;
using Imbrex.Engine.Tests.Simulation;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

public sealed class GrayPyramidTests
{
    // Sides that leave every remainder when divided by four, and more rows than are read at a time.
    public static TheoryData<int, int, int> Shapes =>
        [.. from turns in Enumerable.Range(0, 4) from more in Enumerable.Range(0, 4) select (40 + more, 131 + more, turns)];

    [Theory]
    [MemberData(nameof(Shapes))]
    public void Each_pixel_of_the_finest_level_is_the_mean_grey_of_sixteen_upright_ones(int storedWidth, int storedHeight, int turns)
    {
        using var raw = new RawFrames();
        var random = new Random(turns);
        Frame frame = raw.Of(storedWidth, storedHeight, (_, _, _) => random.Next(65536), turns);
        GrayPyramid pyramid = GrayPyramid.Of(frame, 3, TestContext.Current.CancellationToken);
        var upright = new ushort[frame.Width * frame.Height * 3];
        frame.ReadBlock(0, 0, frame.Width, frame.Height, upright);
        GrayImage finest = pyramid[2], half = pyramid[3];
        Assert.Equal((frame.Width / 4, frame.Height / 4), (finest.Width, finest.Height));
        for (int i = 0; i < finest.Pixels.Length; i++)
        {
            double sum = 0;
            for (int k = 0; k < 16; k++)
            {
                int at = 3 * ((i / finest.Width * 4 + k / 4) * frame.Width + i % finest.Width * 4 + k % 4);
                sum += (upright[at] + 2.0 * upright[at + 1] + upright[at + 2]) / 4;
            }
            Assert.Equal(sum / 16, finest.Pixels[i], 0.01);
        }
        for (int i = 0; i < half.Pixels.Length; i++)
        {
            int at = i / half.Width * 2 * finest.Width + i % half.Width * 2;
            Assert.Equal((finest.Pixels[at] + finest.Pixels[at + 1] + finest.Pixels[at + finest.Width] + finest.Pixels[at + finest.Width + 1]) / 4, half.Pixels[i], 0.02f);
        }
    }

    [Theory]
    [InlineData("plain.tif")]
    [InlineData("packed.tif")]
    public void The_hash_that_comes_with_it_is_the_whole_files(string name)
    {
        using var scratch = new Scratch();
        var random = new Random(8);
        ushort[] codes = [.. Enumerable.Range(0, 3 * 61 * 145).Select(_ => (ushort)random.Next(65536))];
        using (Image image = Image.NewFromMemoryCopy(codes, 61, 145, 3, Enums.BandFormat.Ushort))
        using (Image rgb = image.Copy(interpretation: Enums.Interpretation.Rgb16))
            rgb.Tiffsave(scratch[name], compression: name == "packed.tif" ? Enums.ForeignTiffCompression.Deflate : null);
        using Frame frame = FrameImport.Import(FrameFile.Open(scratch[name]), 3, scratch["scratch.raw"]);
        Assert.Equal(name == "plain.tif", frame.LiesIn(scratch[name]));
        string want = Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(scratch[name])));
        (GrayPyramid pyramid, string hash) = GrayPyramid.WithHash(frame, scratch[name], 3, TestContext.Current.CancellationToken);
        Assert.Equal(want, hash);
        Assert.Equal(want, FileHash.Of(scratch[name], TestContext.Current.CancellationToken));
        Assert.Equal(GrayPyramid.Of(frame, 3, TestContext.Current.CancellationToken)[3].Pixels, pyramid[3].Pixels);
    }

    [Fact]
    public void Hashing_hears_that_it_is_cancelled()
    {
        using var scratch = new Scratch();
        File.WriteAllBytes(scratch["a"], new byte[100]);
        Assert.ThrowsAny<OperationCanceledException>(() => FileHash.Of(scratch["a"], new CancellationToken(canceled: true)));
    }
}
