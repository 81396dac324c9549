using System.Globalization;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Engine.Planning;

/// <summary>What would do instead of a refused layout: another format, overlap or tolerance for the same tiles, or the regular grid that fills the format.</summary>
internal static class Remedies
{
    public static IReadOnlyList<RemedyPart> Find(CheckRequest request, IReadOnlyList<TileRectangle> tiles, VerdictDocument verdict)
    {
        bool reached = verdict.Rules.All(rule => rule.Rule != Reach.Name || rule.Outcome != RulePart.Failed);
        RemedyPart?[] found =
        [
            reached ? SmallerFormat(verdict) : null,
            reached ? SmallerOverlap(request, tiles, verdict) : null,
            reached ? SmallerTolerance(request, tiles) : null,
            RegularGrid(request),
        ];
        return [.. found.OfType<RemedyPart>()];
    }

    private static RemedyPart? SmallerFormat(VerdictDocument verdict) => verdict.LargestFormat is not { } size ? null : new()
    {
        Kind = "format",
        Text = $"Ask for a format of {Lengths.Safe(size.WidthMm)} x {Lengths.Safe(size.HeightMm)} mm: the largest of the same shape that these tiles fill.",
    };

    private static RemedyPart? SmallerOverlap(CheckRequest request, IReadOnlyList<TileRectangle> tiles, VerdictDocument verdict)
    {
        bool onlyOverlap = verdict.Rules.All(rule => rule.Outcome != RulePart.Failed || rule.Rule is AcceptanceCheck.Overlap or AcceptanceCheck.Joined);
        if (!onlyOverlap || verdict.MeasuredOverlap is not { WindowMm: > 0.01 } measured)
            return null;
        double enough = Math.Min(measured.WindowMm, verdict.WeakestLink?.SharedMm ?? measured.WindowMm);
        return enough < 0.01 || JoinedTiles.Find(tiles, enough).Groups.Count > 1 || enough >= request.Overlap
            ? null
            : new() { Kind = "overlap", Text = $"Ask for an overlap of {Lengths.Safe(enough)} mm, which these tiles have everywhere." };
    }

    private static RemedyPart? SmallerTolerance(CheckRequest request, IReadOnlyList<TileRectangle> tiles)
    {
        if (request.Margins == Margins.None || tiles.Count > OverlapMeasure.MostTiles || !Pass(Margins.None))
            return null;
        double part = Greatest.Passing(1, part => Pass(Scaled(part)));
        Margins enough = Scaled(part);
        string angle = request.Margins.Angle > 0 ? $" and {Lengths.Safe(enough.Angle)} degrees" : "";
        return new() { Kind = "tolerance", Text = $"Or make the back repeat within {Lengths.Safe(enough.Position)} mm{angle}: then these tiles do." };

        Margins Scaled(double part) => new(part * request.Margins.Position, part * request.Margins.Angle);

        bool Pass(Margins margins)
        {
            TileRectangle[] usable = [.. request.Tiles.Select(tile => TileRectangle.Usable(tile, request.Sensor, margins))];
            return WindowRule.Holds(request.Format, usable, default)
                && WindowRule.Holds(request.Format, usable, new(request.Overlap, request.Overlap))
                && JoinedTiles.Find(usable, request.Overlap).Groups.Count == 1;
        }
    }

    // The regular grid of fewest frames that the back reaches; where it reaches none, nothing is promised.
    public static RemedyPart? RegularGrid(CheckRequest request) => Turns.All
        .Select(turn => Grid(request, turn))
        .OfType<GridFit>()
        .OrderBy(grid => grid.Columns * (long)grid.Rows)
        .Where(grid => grid.Columns * (long)grid.Rows <= MostGridTiles && IsReached(grid, request))
        .Select(grid => grid.ToRemedy())
        .FirstOrDefault();

    private const int MostGridTiles = 10_000;

    private static GridFit? Grid(CheckRequest request, Turn turn)
    {
        PlaneSize tile = request.Margins.Usable(request.Sensor).Turned(turn);
        if (tile.ShortSide <= 0
            || EvenSpread.Count(request.Format.Width, tile.Width, request.Overlap) is not { } columns
            || EvenSpread.Count(request.Format.Height, tile.Height, request.Overlap) is not { } rows)
        {
            return null;
        }
        return new(turn, columns, rows, EvenSpread.Step(request.Format.Width, tile.Width, columns), EvenSpread.Step(request.Format.Height, tile.Height, rows));
    }

    private static bool IsReached(GridFit grid, CheckRequest request) => request.Back is not { } back || grid.Poses().All(pose =>
        PoseChoice.For(pose, back).Any(solution => solution.IsReached));

    private sealed record GridFit(Turn Turn, int Columns, int Rows, double StepX, double StepY)
    {
        public IEnumerable<SensorPose> Poses() =>
            from y in EvenSpread.Centred(Rows, StepY)
            from x in EvenSpread.Centred(Columns, StepX)
            select new SensorPose(new(x, y), Turn);

        public RemedyPart ToRemedy()
        {
            string stepX = Columns > 1 ? $", step-x {Lengths.Text(StepX)} mm" : "";
            string stepY = Rows > 1 ? $", step-y {Lengths.Text(StepY)} mm" : "";
            string turn = Turn == Turn.None ? "" : FormattableString.Invariant($", turn {Turn.Degrees()}");
            return new()
            {
                Kind = "layout",
                Text = FormattableString.Invariant($"A regular grid of {Columns} x {Rows} = {Columns * Rows} frames does{turn}{stepX}{stepY}."),
                Layout = new()
                {
                    Name = "regular-grid",
                    Parameters = new Dictionary<string, string>
                    {
                        ["columns"] = Columns.ToString(CultureInfo.InvariantCulture),
                        ["rows"] = Rows.ToString(CultureInfo.InvariantCulture),
                        ["turn"] = Turn.Degrees().ToString(CultureInfo.InvariantCulture),
                    },
                },
            };
        }
    }
}
