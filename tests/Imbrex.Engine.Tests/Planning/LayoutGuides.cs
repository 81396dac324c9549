using CsCheck;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>What a layout is told while it arranges is what the rules say afterwards.</summary>
public sealed class LayoutGuides
{
    private static readonly string[] OfTiles = ["reach", "coverage", "overlap", "joined", "clearance"];

    private static readonly Gen<Tile[]> SomeTiles =
        from count in Gen.Int[2, 6]
        from shifts in Gen.Double[-2, 2].Array[12]
        from upright in Gen.Bool
        select (Tile[])[.. Enumerable.Range(0, count).Select(i =>
            new Tile(new(new(((i % 3) - 1) * 30 + shifts[2 * i], (i / 3 - 0.5) * 18 + shifts[2 * i + 1]), upright && i == 0 ? Turn.Quarter : Turn.None)))];

    [Fact]
    public void A_trial_is_accepted_where_the_rules_of_tiles_hold()
    {
        int accepted = 0;
        Gen.Select(SomeTiles, Gen.Double[30, 90], Gen.Double[15, 38], Gen.Double[0, 4]).Sample((tiles, width, height, overlap) =>
        {
            var check = new CheckRequest { Tiles = PlacedTile.Named(tiles), Sensor = new(36, 24), Format = new(width, height), Overlap = overlap, Margins = new(0.1, 0.1) };
            LayoutTrial trial = new LayoutGuide(check with { Tiles = [] }).Try(tiles);
            VerdictDocument verdict = AcceptanceCheck.Judge(check);
            Assert.Equal(verdict.Failures.All(failure => !OfTiles.Contains(failure.Rule)), trial.IsAccepted);
            if (!trial.IsAccepted)
                return;
            Assert.Equal(verdict.MeasuredOverlap!.WindowMm, trial.Overlap);
            Interlocked.Increment(ref accepted);
        }, iter: 200);
        Assert.True(accepted > 10, $"only {accepted} of 200 were accepted");
    }

    [Fact]
    public void Notes_are_kept_in_order()
    {
        var guide = new LayoutGuide(new() { Tiles = [], Sensor = new(36, 24), Format = new(60, 20), Overlap = 2 });
        guide.Note("first");
        guide.Note("second");
        Assert.Equal(["first", "second"], guide.Notes);
    }
}
