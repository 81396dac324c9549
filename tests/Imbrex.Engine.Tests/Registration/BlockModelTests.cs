using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>Blocks as they are read and modelled, against the same written down plainly; one model and one array serve all.</summary>
public sealed class BlockModelTests
{
    private const int N = BlockModel.Size, Rim = BlockModel.Rim;

    [Fact]
    public void Products_of_the_parameters_are_those_of_their_pictures()
    {
        var random = new Random(5);
        var model = new BlockModel();
        foreach ((int width, int height) in new[] { (128, 112), (16, 17), (64, 33), (136, 90), (8, 16) })
        {
            var picture = new GrayImage(width + 2 * Rim, height + 2 * Rim);
            for (int i = 0; i < picture.Pixels.Length; i++)
                picture.Pixels[i] = random.Next(65536);
            model.Prepare(picture);
            double[] want = Products(picture, width, height), scale = new double[N];
            for (int i = 0; i < N; i++)
                scale[i] = Math.Sqrt(want[i * N + i]);
            for (int i = 0; i < N * N; i++)
            {
                double got = Enumerable.Range(0, model.Cells).Sum(cell => model.Gram(cell)[i]);
                Assert.Equal(0, (got - want[i]) / (scale[i / N] * scale[i % N]), 1e-5);
            }
            Assert.Equal(width * height, Enumerable.Range(0, model.Cells).Sum(model.Pixels));
        }
    }

    [Fact]
    public void A_block_is_read_in_grey_and_smoothed()
    {
        using var raw = new RawFrames();
        var random = new Random(6);
        Frame frame = raw.Of(83, 61, (_, _, _) => random.Next(65536));
        var rgb = new ushort[83 * 61 * 3];
        frame.ReadBlock(0, 0, 83, 61, rgb);
        double Grey(int x, int y) => (rgb[(y * 83 + x) * 3] + 2.0 * rgb[(y * 83 + x) * 3 + 1] + rgb[(y * 83 + x) * 3 + 2]) / 4;
        double[] weights = [-1 / 16.0, 4 / 16.0, 10 / 16.0, 4 / 16.0, -1 / 16.0];
        float[] room = [];
        foreach ((int x, int y, int width, int height) in new[] { (2, 2, 79, 57), (5, 9, 1, 1), (20, 3, 7, 40), (33, 30, 40, 24) })
        {
            GrayImage block = Assert.IsType<GrayImage>(GreyReader.Read(frame, x, y, width, height, ref room));
            for (int i = 0; i < width * height; i++)
            {
                double want = 0;
                for (int tap = 0; tap < 25; tap++)
                    want += weights[tap / 5] * weights[tap % 5] * Grey(x + i % width + tap % 5 - 2, y + i / width + tap / 5 - 2);
                Assert.Equal(want, block.Row(i / width)[i % width], 0.05);
            }
        }
        Assert.Null(GreyReader.Read(frame, 1, 2, 10, 10, ref room));
        Assert.Null(GreyReader.Read(frame, 60, 2, 22, 10, ref room));
    }

    private static double[] Products(GrayImage picture, int width, int height)
    {
        double level = picture.Pixels.Average(pixel => (double)pixel);
        double At(int x, int y) => picture.Row(y + Rim)[x + Rim];
        var products = new double[N * N];
        for (int i = 0; i < width * height; i++)
        {
            (int x, int y) = (i % width, i / width);
            double gx = (8 * (At(x + 1, y) - At(x - 1, y)) - (At(x + 2, y) - At(x - 2, y))) / 12, gy = (8 * (At(x, y + 1) - At(x, y - 1)) - (At(x, y + 2) - At(x, y - 2))) / 12;
            double detail = At(x, y) - level, across = 2.0 * x / (width - 1) - 1, down = 2.0 * y / (height - 1) - 1;
            double[] values = [gx, gy, detail, detail * across, detail * down, 1, across, down];
            for (int k = 0; k < N * N; k++)
                products[k] += values[k / N] * values[k % N];
        }
        return products;
    }
}
