using System.Diagnostics;
using System.Globalization;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Benchmarks;

/// <summary>Time of the acceptance check from 100 to 10,000 tiles, and the exponent with which it grows.</summary>
internal static class CheckerCommand
{
    private static readonly PlaneSize Sensor = new(36, 24);
    private static readonly int[] Sides = [10, 18, 32, 56, 100];
    private const double Overlap = 4;

    public static int Run(string[] args)
    {
        if (args.Length > 0)
            return Arguments.Refuse("checker: seconds of the acceptance check from 100 to 10,000 tiles; takes no options");
        Console.WriteLine("| layout | tiles | s | CPU s |");
        Console.WriteLine("| --- | --- | --- | --- |");
        foreach (Layout layout in Layouts())
        {
            Judge(layout, Sides[0]);
            double[] seconds = [.. Sides.Select(side => Print(layout, side))];
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {layout.Name} | fitted exponent {Exponent([.. Sides.Select(side => (double)side * side)], seconds):0.00} | | |"));
        }
        return 0;
    }

    private static IEnumerable<Layout> Layouts()
    {
        yield return new("level grid", (_, _) => new(PlanePoint.Origin), null);
        yield return new("grid with gaps everywhere", (x, y) => new(new(0, (x + y) % 3 == 0 ? 14 : 0)), null);
        yield return new("tiles turned by up to 1 degree", (x, y) => new(PlanePoint.Origin, Turn.None, (x * 7 + y * 13) % 21 / 10.0 - 1), null);
        yield return new("level grid, each tile cut by the mount's throat", (_, _) => new(PlanePoint.Origin), Kit());
    }

    private static double Print(Layout layout, int side)
    {
        var process = Process.GetCurrentProcess();
        double before = process.TotalProcessorTime.TotalSeconds;
        long start = Stopwatch.GetTimestamp();
        Judge(layout, side);
        double seconds = Stopwatch.GetElapsedTime(start).TotalSeconds;
        process.Refresh();
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {layout.Name} | {side * side} | {seconds:0.000} | {process.TotalProcessorTime.TotalSeconds - before:0.000} |"));
        return seconds;
    }

    private static void Judge(Layout layout, int side)
    {
        (double stepX, double stepY) = (Sensor.Width - Overlap - 2, Sensor.Height - Overlap - 2);
        PlacedTile[] tiles =
        [
            .. from y in Enumerable.Range(0, side)
               from x in Enumerable.Range(0, side)
               let off = layout.Moved(x, y)
               select new PlacedTile(FormattableString.Invariant($"r{y}c{x}"), off with { Centre = off.Centre + new PlanePoint((x - (side - 1) / 2.0) * stepX, (y - (side - 1) / 2.0) * stepY) }),
        ];
        AcceptanceCheck.Judge(new()
        {
            Tiles = tiles,
            Sensor = Sensor,
            Format = new((side - 1) * stepX + Sensor.Width - 2, (side - 1) * stepY + Sensor.Height - 2),
            Overlap = Overlap,
            Kit = layout.Kit,
            Picture = layout.Kit is null ? null : new() { Aperture = 11 },
        });
    }

    // A lens so long that the whole field is lit, and from one side: what is measured is the cutting of tiles, and that to the corners only.
    private static KitDocument Kit() => new()
    {
        Schema = KitDocument.SchemaName,
        Body = new() { WidthMm = 36, HeightMm = 24, WidthPx = 6000, HeightPx = 4000, RegisterMm = 18, Stops = [new() { Shape = "circle", SizeMm = [42], ToSensorMm = 18 }] },
        Back = new() { Adapter = "cross-slide" },
        Lens = new() { FocalLengthMm = 1e6, ExitPupilMm = 1e6, LightCircleMm = 1e5, SharpCircleMm = 1e5 },
    };

    // Slope of log t over log n by least squares.
    private static double Exponent(double[] counts, double[] seconds)
    {
        double[] x = [.. counts.Select(n => Math.Log(n))], y = [.. seconds.Select(s => Math.Log(s))];
        (double meanX, double meanY) = (x.Average(), y.Average());
        return x.Zip(y, (a, b) => (a - meanX) * (b - meanY)).Sum() / x.Sum(a => (a - meanX) * (a - meanX));
    }

    private sealed record Layout(string Name, Func<int, int, SensorPose> Moved, KitDocument? Kit);
}
