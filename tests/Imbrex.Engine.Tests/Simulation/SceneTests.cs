using System.Numerics;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Simulation;
using Imbrex.Sdk;
using MathNet.Numerics.IntegralTransforms;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

public sealed class SceneTests
{
    private static readonly string Mountain = Path.Combine(AppContext.BaseDirectory, "data", "mountain-ccby4.jpg");

    public static TheoryData<string> Scenes => ["quarry", "photograph", "waves"];

    [Theory]
    [MemberData(nameof(Scenes))]
    public void A_pixel_has_the_same_value_in_whichever_block_it_lies(string name)
    {
        IScene scene = Scene(name);
        var whole = new float[200 * 170 * 4];
        scene.Render(new(-37, 20, 200, 170), whole);
        foreach (PixelBlock part in (PixelBlock[])[new(-37, 20, 1, 1), new(-5, 33, 77, 41), new(60, 120, 103, 70)])
        {
            var block = new float[part.Area * 4];
            Array.Fill(block, float.NaN);
            scene.Render(part, block);
            for (int i = 0; i < part.Area; i++)
            {
                int at = (part.Y - 20 + i / part.Width) * 200 + part.X + 37 + i % part.Width;
                // The waves carry a rounding of their own along a row; the others are equal to the bit.
                for (int channel = 0; channel < 3; channel++)
                    Assert.InRange(Math.Abs(block[4 * i + channel] - whole[4 * at + channel]), 0, name == "waves" ? 1e-6f : 0);
            }
        }
    }

    // Engineering rule of the simulation, not a standard: resampling with 16 taps is honest below 0.4 cycles per pixel.
    [Theory]
    [InlineData(0)]
    [InlineData(300)]
    [InlineData(560)]
    public void The_quarry_has_next_to_nothing_above_four_tenths_of_a_cycle_per_pixel(int top)
    {
        const int Size = 512;
        var light = new float[Size * 256 * 4];
        new QuarryScene(7, 1200, 700).Render(new(100, top, Size, 256), light);
        (double below, double above, double fine) = (0, 0, 0);
        for (int row = 0; row < 256; row += 4)
        {
            var line = new Complex[Size];
            double mean = Enumerable.Range(0, Size).Average(x => light[(row * Size + x) * 4 + 1]);
            for (int x = 0; x < Size; x++)
                line[x] = (light[(row * Size + x) * 4 + 1] - mean) * Math.Pow(Math.Sin(Math.PI * (x + 0.5) / Size), 2);
            Fourier.Forward(line);
            for (int k = 1; k < Size / 2; k++)
            {
                double energy = line[k].Magnitude * line[k].Magnitude;
                below += energy;
                above += k > 0.4 * Size ? energy : 0;
                fine += k is > Size / 5 and < Size / 3 ? energy : 0;
            }
        }
        Assert.True(above < 2e-5 * below, $"{above / below:E2} of the energy lies above 0.4 cycles per pixel");
        // And yet there is detail of three to five pixels wherever there is rock or stone.
        Assert.True(top == 0 || fine > 1e-3 * below, $"{fine / below:E2} of the energy lies between 0.2 and 0.33 cycles per pixel");
    }

    [Fact]
    public void The_quarry_keeps_within_the_light_and_its_seed_chooses_it()
    {
        var light = new float[300 * 200 * 4];
        new QuarryScene(7, 300, 200).Render(new(0, 0, 300, 200), light);
        Assert.All(light, value => Assert.InRange(value, -0.15f, 1.1f));
        var again = new float[light.Length];
        new QuarryScene(7, 300, 200).Render(new(0, 0, 300, 200), again);
        Assert.Equal(light, again);
        new QuarryScene(8, 300, 200).Render(new(0, 0, 300, 200), again);
        Assert.NotEqual(light, again);
    }

    [Fact]
    public void A_photograph_comes_out_at_its_own_scale_and_goes_on_mirrored()
    {
        PhotographScene scene = PhotographScene.Load(Mountain);
        Assert.Equal((3088, 2056), (scene.Width, scene.Height));
        using Image file = Image.NewFromFile(Mountain);
        using Image crop = file.Crop(3000, 100, 88, 5);
        byte[] bytes = crop.WriteToMemory<byte>();
        var light = new float[176 * 5 * 4];
        scene.Render(new(3000, 100, 176, 5), light);
        for (int row = 0; row < 5; row++)
        {
            for (int x = 0; x < 88; x++)
            {
                for (int channel = 0; channel < 3; channel++)
                {
                    double expected = SrgbCurve.Decode(bytes[(row * 88 + x) * 3 + channel] / 255.0);
                    Assert.Equal(expected, light[(row * 176 + x) * 4 + channel], 1e-6);
                    Assert.Equal(light[(row * 176 + x) * 4 + channel], light[(row * 176 + 175 - x) * 4 + channel]);
                }
            }
        }
    }

    [Fact]
    public void A_photograph_repeats_after_twice_its_size()
    {
        PhotographScene scene = PhotographScene.Load(Mountain, offsetX: 11, offsetY: 7);
        (var here, var there) = (new float[40 * 30 * 4], new float[40 * 30 * 4]);
        scene.Render(new(-20, -15, 40, 30), here);
        scene.Render(new(-20 - 2 * 3088, -15 + 2 * 2056, 40, 30), there);
        Assert.Equal(here, there);
    }

    [Fact]
    public void A_photograph_that_is_missing_damaged_or_no_picture_is_refused_in_words()
    {
        using var scratch = new Scratch();
        byte[] bytes = File.ReadAllBytes(Mountain);
        File.WriteAllBytes(scratch["half.jpg"], bytes[..(bytes.Length / 2)]);
        File.WriteAllText(scratch["text.tif"], "not a picture");
        foreach (string name in (string[])["half.jpg", "text.tif", "missing.jpg"])
        {
            InputException refusal = Assert.Throws<InputException>(() => PhotographScene.Load(scratch[name]));
            Assert.Contains(name, refusal.Message);
            Assert.NotNull(refusal.Remedy);
        }
    }

    private static IScene Scene(string name) => name switch
    {
        "quarry" => new QuarryScene(7, 260, 180),
        "photograph" => PhotographScene.Load(Mountain),
        _ => AnalyticScene.Create(1, 5, 3, 40),
    };
}
