using CsCheck;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>What a verdict promises holds.</summary>
public sealed class Verdicts
{
    private static readonly PlaneSize Sensor = new(36, 24);

    // Edges snap to 1e-6 mm and areas up to 1e-6 mm2 are nothing, so that a promise is tried a little on either side of its number.
    private const double Snapping = 1e-4;

    // Up to nine tiles near a grid, some of them rotated.
    private static readonly Gen<PlacedTile[]> SomeTiles =
        from count in Gen.Int[1, 9]
        from shifts in Gen.Double[-4, 4].Array[18]
        from rotated in Gen.Bool
        from angles in Gen.Double[-3, 3].Array[9]
        select (PlacedTile[])[.. Enumerable.Range(0, count).Select(i =>
            new PlacedTile($"t{i + 1}", new(new(((i % 3) - 1) * 27 + shifts[2 * i], (new[] { 0, -1, 1 }[i / 3] * 17) + shifts[2 * i + 1]), Turn.None, rotated ? angles[i] : 0)))];

    private static readonly Gen<CheckRequest> AnyRequest = Gen.Select(SomeTiles, Gen.Double[20, 110], Gen.Double[15, 70], Gen.Double[0, 6], Gen.Double[0, 0.6],
        (tiles, width, height, overlap, tolerance) => new CheckRequest
        {
            Tiles = tiles,
            Sensor = Sensor,
            Format = new(width, height),
            Overlap = overlap,
            Margins = new(tolerance, tolerance),
        });

    // The rules look at pairs, of which ten thousand tiles in one place have fifty million.
    [Fact]
    public void Heaps_of_tiles_are_refused_and_as_many_spread_out_are_not()
    {
        CheckRequest Request(double step) => new()
        {
            Tiles = [.. Enumerable.Range(0, 3000).Select(i => new PlacedTile($"t{i}", new(new(i % 60 * step, i / 60 * step))))],
            Sensor = Sensor,
            Format = new(90, 44),
            Overlap = 2.4,
            Margins = new(0.3, 0.3),
        };

        Assert.Contains("in heaps", Assert.Throws<InputException>(() => RequestCheck.Validate(Request(0.1))).Message, StringComparison.Ordinal);
        Assert.Null(Record.Exception(() => RequestCheck.Validate(Request(12))));
    }

    [Fact]
    public void The_largest_format_passes_and_one_that_is_a_little_larger_does_not() => AnyRequest.Sample(request =>
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(request);
        if (verdict.LargestFormat is not { } largest)
            return;
        Assert.DoesNotContain(AcceptanceCheck.Judge(request with { Format = largest.ToSize() }).Failures, failure => failure.Rule is "coverage" or "overlap" && failure.AreaMm2 > 1e-5);
        PlaneSize larger = new(largest.WidthMm * 1.01, largest.HeightMm * 1.01);
        Assert.Contains(AcceptanceCheck.Judge(request with { Format = larger }).Failures, failure => failure.Rule is "coverage" or "overlap");
        Assert.Equal(request.Format.Width / request.Format.Height, largest.WidthMm / largest.HeightMm, 1e-4 * request.Format.Width / request.Format.Height);
    }, iter: 150);

    [Fact]
    public void The_measured_overlap_holds_and_a_little_more_does_not() => AnyRequest.Sample(request =>
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(request);
        if (verdict is not { Filled: { } filled, MeasuredOverlap: { } measured } || verdict.Frames == 1)
            return;
        CheckRequest again = request with { Format = filled.ToSize(), Overlap = Math.Max(0, measured.WindowMm - Snapping) };
        Assert.DoesNotContain(AcceptanceCheck.Judge(again).Failures, failure => failure.Rule is "coverage" or "overlap" && failure.AreaMm2 > 1e-5);
        bool bounded = measured.WindowMm < Math.Min(filled.ToSize().ShortSide, verdict.UsableTileMm.Min()) - 0.2;
        if (bounded)
            Assert.Contains(AcceptanceCheck.Judge(again with { Overlap = measured.WindowMm + 0.05 }).Failures, failure => failure.Rule is "overlap");
    }, iter: 60);

    [Fact]
    public void Every_remedy_does() => AnyRequest.Sample(request =>
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(request);
        foreach (RemedyPart remedy in verdict.Remedies)
        {
            CheckRequest mended = remedy.Kind switch
            {
                "layout" => request with { Tiles = Grid(request, remedy.Layout!.Parameters!) },
                "tolerance" => request with { Margins = new(Number(remedy.Text, "within "), Number(remedy.Text, "and ")) },
                "overlap" => request with { Overlap = Number(remedy.Text, "overlap of ") },
                _ => request with { Format = new(Number(remedy.Text, "format of "), Number(remedy.Text, " x ")) },
            };
            VerdictDocument again = AcceptanceCheck.Judge(mended);
            bool done = remedy.Kind == "format" ? again.Failures.All(failure => failure.Rule == "joined") : again.Accepted;
            Assert.True(done, $"{remedy.Text} But: {again.Summary}");
        }
    }, iter: 60);

    [Fact]
    public void A_verdict_survives_its_file_and_is_the_same_twice() => AnyRequest.Sample(request =>
    {
        byte[] bytes = JsonDocuments.ToBytes(AcceptanceCheck.Judge(request));
        VerdictDocument read = JsonDocuments.Parse<VerdictDocument>(bytes, VerdictDocument.SchemaName, "verdict.json");
        Assert.Equal(bytes, JsonDocuments.ToBytes(read));
        Assert.Equal(bytes, JsonDocuments.ToBytes(AcceptanceCheck.Judge(request)));
    }, iter: 30);

    [Fact]
    public void A_gap_names_its_tiles_and_its_place()
    {
        CheckRequest request = Request(new(90, 24), 4, new PlanePoint(-27, 0), new(0, 0), new(31.5, 0));
        VerdictDocument verdict = AcceptanceCheck.Judge(request with { Tiles = [.. request.Tiles.Select((tile, i) => i == 2 ? tile with { Pose = new(new(40, 0)) } : tile)] });
        FailurePart gap = Assert.Single(verdict.Failures, failure => failure.Rule == "coverage");
        Assert.Equal(["t2", "t3"], gap.Tiles);
        Assert.Equal(4 * 24, gap.AreaMm2!.Value, 1e-4);
        Assert.Equal([18, 22], gap.Region!.Single().Select(point => Math.Round(point[0], 4)).Distinct().Order());
        FailurePart apart = Assert.Single(verdict.Failures, failure => failure.Rule == "joined");
        Assert.Equal(["t3"], apart.Tiles);
    }

    [Fact]
    public void A_format_smaller_than_the_overlap_asked_for_passes_the_overlap_rule()
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(Request(new(90, 3.9), 4, new PlanePoint(-27, 0), new(0, 0), new(27, 0)));
        Assert.True(verdict.Accepted, verdict.Summary);
    }

    // A format just as high as the window: the windows' middles lie on a line, where areas say nothing.
    [Theory]
    [InlineData(27, true)]
    [InlineData(32, true)]
    [InlineData(32.001, false)]
    public void A_format_just_as_high_as_the_window_is_judged_along_its_line(double step, bool accepted)
    {
        VerdictDocument verdict = AcceptanceCheck.Judge(Request(new(60, 4), 4, new PlanePoint(-step / 2, 0), new(step / 2, 0)));
        Assert.Equal(accepted, verdict.Rules.Single(rule => rule.Rule == "overlap").Outcome == RulePart.Passed);
        Assert.Equal(accepted, AcceptanceCheck.Judge(Request(new(60, 4.000002), 4, new PlanePoint(-step / 2, 0), new(step / 2, 0))).Rules.Single(rule => rule.Rule == "overlap").Outcome == RulePart.Passed);
        Assert.True(AcceptanceCheck.Judge(Request(new(4, 4), 4, new PlanePoint(3, 3))).Accepted);
        Assert.False(AcceptanceCheck.Judge(Request(new(4, 4), 4, new PlanePoint(-17, 0), new(19, 0))).Accepted);
    }

    [Fact]
    public void Ten_thousand_tiles_are_judged()
    {
        PlacedTile[] tiles = [.. from y in Enumerable.Range(-50, 100) from x in Enumerable.Range(-50, 100) select new PlacedTile($"{x}/{y}", new(new(30 * (x + 0.5), 20 * (y + 0.5))))];
        VerdictDocument verdict = AcceptanceCheck.Judge(new() { Tiles = tiles, Sensor = Sensor, Format = new(3000, 2000), Overlap = 4 });
        Assert.True(verdict.Accepted, verdict.Summary);
        Assert.Null(verdict.MeasuredOverlap);
        Assert.False(AcceptanceCheck.Judge(new() { Tiles = tiles[1..], Sensor = Sensor, Format = new(3000, 2000), Overlap = 4 }).Accepted);
    }

    private static CheckRequest Request(PlaneSize format, double overlap, params PlanePoint[] centres) => new()
    {
        Tiles = [.. centres.Select((centre, i) => new PlacedTile($"t{i + 1}", new(centre)))],
        Sensor = Sensor,
        Format = format,
        Overlap = overlap,
    };

    private static IReadOnlyList<PlacedTile> Grid(CheckRequest request, IReadOnlyDictionary<string, string> parameters)
    {
        var grid = new Plugins.Layouts.RegularGrid();
        return PlacedTile.Named(grid.Arrange(new()
        {
            Sensor = request.Sensor,
            Format = request.Format,
            Overlap = request.Overlap,
            PositionTolerance = request.Margins.Position,
            AngularTolerance = request.Margins.Angle,
            Parameters = Sdk.Parameters.ParameterValues.Bind(grid.Description.Parameters, parameters),
        }));
    }

    private static double Number(string text, string after)
    {
        int start = text.IndexOf(after, StringComparison.Ordinal) + after.Length;
        string number = new([.. text.Skip(start).TakeWhile(c => char.IsDigit(c) || c == '.')]);
        return double.Parse(number.TrimEnd('.'));
    }
}
