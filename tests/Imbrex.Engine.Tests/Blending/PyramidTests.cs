using Imbrex.Engine.Blending;
using Xunit;

namespace Imbrex.Engine.Tests.Blending;

/// <summary>The pyramid's operators against slow ones written straight from the definition.</summary>
public sealed class PyramidTests
{
    [Theory]
    [InlineData(2, 2)]
    [InlineData(4, 2)]
    [InlineData(2, 6)]
    [InlineData(34, 18)]
    [InlineData(64, 40)]
    public void Reduce_and_expand_are_what_the_definition_says(int width, int height)
    {
        float[] picture = Noise(width * height, 1), line = new float[width];
        var half = new float[width / 2 * (height / 2)];
        Pyramid.Reduce(picture, width, height, half, line);
        double[] slow = SlowPyramid.Reduce([.. picture.Select(v => (double)v)], width, height);
        for (int i = 0; i < half.Length; i++)
            Assert.Equal(slow[i], half[i], 1e-2);

        foreach (float factor in new[] { 1f, -1f })
        {
            float[] target = Noise(width * height, 2), before = [.. target];
            Pyramid.AddExpanded(half, width, height, factor, target, line);
            double[] doubled = SlowPyramid.Expand([.. half.Select(v => (double)v)], width, height);
            for (int i = 0; i < target.Length; i++)
                Assert.Equal(before[i] + factor * doubled[i], target[i], 2e-2);
        }
    }

    [Fact]
    public void Differences_and_their_sum_give_the_picture_back()
    {
        const int Width = 64, Height = 32, Levels = 4;
        float[] picture = Noise(Width * Height, 3), line = new float[Width];
        var pyramid = new List<float[]> { (float[])picture.Clone() };
        for (int level = 0; level < Levels; level++)
        {
            var next = new float[pyramid[level].Length / 4];
            Pyramid.Reduce(pyramid[level], Width >> level, Height >> level, next, line);
            Pyramid.AddExpanded(next, Width >> level, Height >> level, -1, pyramid[level], line);
            pyramid.Add(next);
        }
        for (int level = Levels - 1; level >= 0; level--)
            Pyramid.AddExpanded(pyramid[level + 1], Width >> level, Height >> level, 1, pyramid[level], line);
        for (int i = 0; i < picture.Length; i++)
            Assert.Equal(picture[i], pyramid[0][i], 0.05f);
    }

    [Fact]
    public void A_constant_stays_constant_up_and_down()
    {
        float[] line = new float[16], flat = new float[16 * 8], half = new float[8 * 4], back = new float[16 * 8];
        Array.Fill(flat, 1234.5f);
        Pyramid.Reduce(flat, 16, 8, half, line);
        Pyramid.AddExpanded(half, 16, 8, 1, back, line);
        Assert.All(half.Concat(back), value => Assert.Equal(1234.5f, value, 1e-3f));
    }

    // Reference sheet 3.4: the reach of level l is 2 (2^l - 1) px: 2, 6, 14, 30, 62.
    [Theory]
    [InlineData(1, 2)]
    [InlineData(2, 6)]
    [InlineData(3, 14)]
    [InlineData(4, 30)]
    [InlineData(5, 62)]
    public void A_pixel_reaches_as_far_down_the_pyramid_as_the_handbook_says(int levels, int reach)
    {
        const int Side = 256;
        var line = new float[Side];
        int Farthest(int at)
        {
            var level = new float[Side * 2];
            level[at] = level[Side + at] = 65536;
            int width = Side;
            for (int l = 0; l < levels; l++, width /= 2)
            {
                var next = new float[Math.Max(width / 2 * 1, 1)];
                Pyramid.Reduce(level.AsSpan(0, width * 2), width, 2, next, line);
                level = [.. next, .. next];
            }
            return Enumerable.Range(0, width).Where(i => level[i] != 0).Max(i => Math.Abs((i << levels) - at));
        }
        // The farthest that any pixel near the middle carries, over all phases of the grid.
        Assert.Equal(reach, Enumerable.Range(Side / 2, 1 << levels).Max(Farthest));
    }

    private static float[] Noise(int count, int seed)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, count).Select(_ => random.NextSingle() * 65535)];
    }
}
