using CsCheck;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Sdk.Tests.Layouts;

/// <summary>n = ceil((L - d) / (w - d)), and the steps that go with it.</summary>
public sealed class Spreads
{
    // Computed by hand: 120 mm with tiles of 36 and 24 mm, overlaps of 6 and 4 mm; the second line of each pair is a whole number of steps.
    [Theory]
    [InlineData(120, 36, 6, 4, 28)]
    [InlineData(120, 24, 6, 7, 16)]
    [InlineData(120, 24, 4, 6, 19.2)]
    [InlineData(90, 36, 9, 3, 27)]
    [InlineData(36, 36, 6, 1, 0)]
    [InlineData(3, 36, 6, 1, 0)]
    public void Counts_and_steps(double length, double tile, double overlap, int count, double step)
    {
        Assert.Equal(count, EvenSpread.Count(length, tile, overlap));
        Assert.Equal(step, EvenSpread.Step(length, tile, count), 1e-12);
    }

    [Fact]
    public void A_tile_no_longer_than_the_overlap_fills_nothing() => Assert.Null(EvenSpread.Count(120, 6, 6));

    [Fact]
    public void The_count_is_the_least_that_leaves_the_overlap() =>
        Gen.Select(Gen.Double[1, 500], Gen.Double[5, 60], Gen.Double[0, 4.9]).Sample((length, tile, overlap) =>
        {
            int count = EvenSpread.Count(length, tile, overlap)!.Value;
            double step = EvenSpread.Step(length, tile, count);
            Assert.True(count == 1 ? length <= tile : tile - step >= overlap - 1e-6);
            Assert.True(count == 1 || EvenSpread.Step(length, tile, count - 1) > tile - overlap - 1e-6 || count == 2);
            IReadOnlyList<double> positions = EvenSpread.Centred(count, step);
            Assert.Equal(0, positions.Sum(), 1e-6);
            Assert.True(positions[^1] + tile / 2 >= length / 2 - 1e-9);
        });
}
