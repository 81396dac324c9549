using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Reference.Tests.Planning;

/// <summary>
/// Worked layouts with known answers. The grids of a 36 x 24 mm sensor: common practice, no source; with tolerances computed by hand
/// from the margins of the acceptance rule. The layouts on a 10 x 10 mm format: counterexamples derived by hand from the definition of
/// the window rule, each checked against a brute-force raster elsewhere in these tests.
/// </summary>
public sealed class WorkedLayouts
{
    private static readonly PlaneSize FullFrame = new(36, 24);

    [Fact]
    public void Three_by_two_with_steps_27_and_20_fills_90_by_44_with_9_and_4_mm_of_overlap()
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(Grid(3, 2, 27, 20, new(90, 44), overlap: 4, Margins.None));
        Assert.True(verdict.Accepted, verdict.Summary);
        Assert.Equal(6, verdict.Frames);
        Assert.Equal(9, verdict.MeasuredOverlap!.AcrossMm!.Value, 1e-4);
        Assert.Equal(4, verdict.MeasuredOverlap.DownMm!.Value, 1e-4);
        Assert.Equal(4, verdict.MeasuredOverlap.WindowMm, 1e-4);
        Assert.Equal(4, verdict.WeakestLink!.SharedMm, 1e-9);
    }

    [Theory]
    [InlineData(90, 44, 4.001)]
    [InlineData(90.001, 44, 4)]
    [InlineData(90, 44.001, 4)]
    public void Three_by_two_gives_no_more_than_that(double width, double height, double overlap) =>
        Assert.False(AcceptanceCheck.Judge(Grid(3, 2, 27, 20, new(width, height), overlap, Margins.None)).Accepted);

    [Fact]
    public void Two_by_two_with_steps_32_and_20_fills_68_by_44()
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(Grid(2, 2, 32, 20, new(68, 44), overlap: 4, Margins.None));
        Assert.True(verdict.Accepted, verdict.Summary);
        Assert.Equal(4, verdict.Frames);
        Assert.False(AcceptanceCheck.Judge(Grid(2, 2, 32, 20, new(68.001, 44), overlap: 4, Margins.None)).Accepted);
    }

    // 36 - 2*0.5 - 24 sin 0.5 deg = 34.79056 and 24 - 2*0.5 - 36 sin 0.5 deg = 22.68584; two steps of 27 and one of 20 on top.
    [Fact]
    public void Half_a_millimetre_and_half_a_degree_leave_88_79_by_42_69_with_2_69_mm_of_overlap()
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(Grid(3, 2, 27, 20, new(90, 44), overlap: 2.4, new(0.5, 0.5)));
        Assert.False(verdict.Accepted);
        double sin = Math.Sin(0.5 * Math.PI / 180);
        Assert.Equal(88.79056, 54 + 36 - 1 - 24 * sin, 1e-5);
        Assert.Equal(54 + 36 - 1 - 24 * sin, verdict.Filled!.WidthMm, 2e-5);
        Assert.Equal(20 + 24 - 1 - 36 * sin, verdict.Filled.HeightMm, 2e-5);
        Assert.Equal(4 - 1 - 36 * sin, verdict.MeasuredOverlap!.WindowMm, 2e-5);
        Assert.Contains("88.79 x 42.69 mm", verdict.Summary, StringComparison.Ordinal);
        Assert.Contains("2.69 mm of overlap", verdict.Summary, StringComparison.Ordinal);
        FailurePart gap = Assert.Single(verdict.Failures, failure => failure.Rule == "coverage");
        Assert.Equal(90 * 44 - (88.79056 * 42.68584), gap.AreaMm2!.Value, 1e-3);
        Assert.Equal(2, gap.Region!.Count);

        // The same shape: the height binds, 42.68584 / 44 of each side.
        Assert.Equal(42.68584, verdict.LargestFormat!.HeightMm, 2e-5);
        Assert.Equal(90 * 42.68584 / 44, verdict.LargestFormat.WidthMm, 5e-5);
    }

    public static TheoryData<string, double, bool> OnTenByTen => new()
    {
        { "0,0,5,6; 3,0,10,4; 6,2,10,10; 0,4,8,10", 2, false }, // covered, neighbours in the ring overlap by 2 and more
        { "0,0,5,6; 3,0,10,4; 6,2,10,10; 0,4,8,10", 0, true },
        { "0,0,6,6; 4,0,10,6; -3,4,3,10; 1,4,7,10; 5,4,11,10", 2, true }, // although two tiles share a strip only 1 wide
        { "0,0,6,6; 4,0,10,6; 0,4,6,10; 4,4,10,10", 2, true },
        { "0,0,6,6; 4,0,10,6; 0,4,6,10; 4,4,10,10", 2.0001, false },
        { "0,0,6,6; 4,0,10,6; 0,4,6,10; 5,5,11,11", 1, true },
        { "0,0,6,6; 4,0,10,6; 0,4,6,10; 5,5,11,11", 1.01, false },
    };

    [Theory]
    [MemberData(nameof(OnTenByTen))]
    public void The_window_rule_decides_tiles_of_any_size(string tiles, double overlap, bool holds) =>
        Assert.Equal(holds, WindowRule.Holds(new(10, 10), Rectangles(tiles), new(overlap, overlap)));

    // Tiles of one size as the check itself takes them: the 2 x 2 layouts are tiles of a 6 x 6 sensor.
    [Theory]
    [InlineData(7, 7, 2, true)]
    [InlineData(7, 7, 2.0001, false)]
    [InlineData(8, 8, 1, true)]
    [InlineData(8, 8, 1.01, false)]
    public void The_check_agrees_for_tiles_of_one_sensor(double lastX, double lastY, double overlap, bool accepted)
    {
        PlanePoint[] centres = [new(3, 3), new(7, 3), new(3, 7), new(lastX, lastY)];
        var request = new CheckRequest
        {
            Tiles = [.. centres.Select((c, i) => new PlacedTile($"t{i + 1}", new(c - new PlanePoint(5, 5))))],
            Sensor = new(6, 6),
            Format = new(10, 10),
            Overlap = overlap,
        };
        VerdictDocument verdict = AcceptanceCheck.Judge(request);
        Assert.Equal(accepted, verdict.Accepted);
        Assert.All(verdict.Failures, failure => Assert.NotEmpty(failure.Tiles));
    }

    // 24 sin(0.5 deg)/2 = 0.104718 and 36 sin(0.5 deg)/2 = 0.157078 per side, as computed on the reference sheet.
    [Fact]
    public void The_margin_of_half_a_degree_is_0_104718_and_0_157078_per_side()
    {
        PlaneSize usable = new Margins(0, 0.5).Usable(FullFrame);
        Assert.Equal(0.104718, (36 - usable.Width) / 2, 1e-6);
        Assert.Equal(0.157078, (24 - usable.Height) / 2, 1e-6);
    }

    internal static CheckRequest Grid(int columns, int rows, double stepX, double stepY, PlaneSize format, double overlap, Margins margins) => new()
    {
        Tiles = [.. from r in Enumerable.Range(0, rows)
                    from c in Enumerable.Range(0, columns)
                    select new PlacedTile($"r{r}c{c}", new(new((c - (columns - 1) / 2.0) * stepX, (r - (rows - 1) / 2.0) * stepY)))],
        Sensor = FullFrame,
        Format = format,
        Overlap = overlap,
        Margins = margins,
    };

    private static TileRectangle[] Rectangles(string text) => [.. text.Split(';').Select((part, i) =>
    {
        double[] side = [.. part.Split(',').Select(double.Parse)];
        return new TileRectangle($"t{i + 1}", new((side[0] + side[2]) / 2 - 5, (side[1] + side[3]) / 2 - 5), new(side[2] - side[0], side[3] - side[1]), 0);
    })];
}
