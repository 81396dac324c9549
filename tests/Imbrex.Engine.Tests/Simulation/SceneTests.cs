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

    public static TheoryData<string> Scenes => ["quarry", "photograph", "waves", "bricks", "sky", "night"];

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

    [Theory]
    [InlineData("bricks", 5e-4)]
    [InlineData("night", 5e-4)]
    [InlineData("soft photograph", 5e-4)]
    public void Other_drawn_scenes_have_little_there_too(string name, double most)
    {
        const int Size = 512;
        var light = new float[Size * 64 * 4];
        Scene(name).Render(new(100, 300, Size, 64), light);
        (double below, double above) = (0, 0);
        for (int row = 0; row < 64; row++)
        {
            double mean = Enumerable.Range(0, Size).Average(x => light[(row * Size + x) * 4 + 1]);
            Complex[] line = [.. Enumerable.Range(0, Size).Select(x => new Complex((light[(row * Size + x) * 4 + 1] - mean) * Math.Pow(Math.Sin(Math.PI * (x + 0.5) / Size), 2), 0))];
            Fourier.Forward(line);
            for (int k = 1; k < Size / 2; k++)
                (below, above) = (below + Math.Pow(line[k].Magnitude, 2), above + (k > 0.4 * Size ? Math.Pow(line[k].Magnitude, 2) : 0));
        }
        Assert.True(above < most * below, $"{above / below:E2} of the energy lies above 0.4 cycles per pixel");
    }

    [Fact]
    public void Bricks_repeat_by_the_brick_but_for_tone_and_grain()
    {
        var light = new float[960 * 320 * 4];
        new BrickWallScene(3).Render(new(0, 0, 960, 320), light);
        double Green(int x, int y) => light[(y * 960 + x) * 4 + 1];
        // Joints: lying ones at every 80 rows, standing ones at every 240 columns, half a brick on in the next course; mortar is lighter.
        double brick = Enumerable.Range(0, 960).Average(x => Green(x, 40)), lying = Enumerable.Range(0, 960).Average(x => Green(x, 80));
        double standing = Enumerable.Range(20, 40).Average(y => Green(240, y)), next = Enumerable.Range(100, 40).Average(y => Green(360, y)), within = Enumerable.Range(100, 40).Average(y => Green(240, y));
        Assert.All([lying, standing, next], mortar => Assert.True(mortar > 1.8 * brick));
        Assert.True(within < 1.5 * brick);
        // No two bricks are the same.
        Assert.Contains(Enumerable.Range(20, 200), x => Math.Abs(Green(x, 40) - Green(x + 240, 40)) > 0.01);
        Assert.All(light, value => Assert.InRange(value, -0.1f, 0.85f));
    }

    [Fact]
    public void The_sky_fills_its_part_with_nothing_but_a_gradient()
    {
        var (open, under) = (new float[900 * 600 * 4], new float[900 * 600 * 4]);
        var quarry = new QuarryScene(7, 900, 600);
        new SkyScene(quarry, 900, 600).Render(new(0, 0, 900, 600), under);
        quarry.Render(new(0, 0, 900, 600), open);
        int sky = Enumerable.Range(0, 900 * 600).Count(i => under[4 * i + 1] != open[4 * i + 1]);
        Assert.InRange(sky / (900.0 * 600), 0.39, 0.415);
        for (int y = 1; y < 220; y++)
        {
            for (int x = 1; x < 900; x++)
            {
                Assert.Equal(under[(y * 900 + x) * 4 + 1], under[(y * 900 + x - 1) * 4 + 1]);
                Assert.InRange(under[(y * 900 + x) * 4 + 1] - under[((y - 1) * 900 + x) * 4 + 1], 0, 0.003f);
            }
        }
    }

    [Fact]
    public void The_night_is_dark_but_for_its_lamps()
    {
        var light = new float[800 * 600 * 4];
        new NightScene(7).Render(new(0, 0, 800, 600), light);
        float[] green = [.. Enumerable.Range(0, 800 * 600).Select(i => light[4 * i + 1]).Order()];
        Assert.InRange(green[green.Length / 2], 0.002f, 0.008f);
        Assert.InRange(green[^50], 0.2f, 1f);
        Assert.InRange(green.Count(value => value > 0.05f) / (double)green.Length, 0.0005, 0.02);
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
        "soft photograph" => new SoftScene(PhotographScene.Load(Mountain)),
        "bricks" => new BrickWallScene(7),
        "sky" => new SkyScene(new QuarryScene(7, 260, 180), 260, 180),
        "night" => new NightScene(7),
        _ => AnalyticScene.Create(1, 5, 3, 40),
    };
}
