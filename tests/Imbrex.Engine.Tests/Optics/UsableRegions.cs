using CsCheck;
using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Optics;

/// <summary>The usable part of a tile against the light at every point of it, counted by straight lines through the openings.</summary>
public sealed class UsableRegions
{
    private static readonly PlaneSize Sensor = new(36, 24);

    private static readonly Gen<LightStop[]> Stops = Gen.Select(Gen.Double[34, 60], Gen.Double[8, 25], Gen.Double[0, 3], Gen.Int[0, 3],
        (size, depth, turn, kind) => kind switch
        {
            0 => (LightStop[])[LightStop.Round(size, depth)],
            1 => [new LightStop(IsCircle: false, new(size + 8, size - 6), depth, default, turn)],
            _ => [LightStop.Round(size, depth), new LightStop(IsCircle: false, new(size + 30, size), depth + 10, new(5, -2), turn)],
        });

    [Fact]
    public void Inside_there_is_light_enough_and_outside_there_is_not() => Gen.Select(Stops, Gen.Double[0, 50], Gen.Double[-25, 25], Gen.Double[2.8, 16], Gen.Double[0.3, 0.95]).Sample((stops, x, y, aperture, fraction) =>
    {
        var pose = new SensorPose(new(x, y));
        stops = [.. stops.Select((stop, i) => i == 0 ? stop with { Centre = pose.Centre, MovesWithBody = true } : stop)];
        PupilView view = PupilView.Of(LensStance.Of(150, 140), aperture);
        IReadOnlyList<PlanePoint> corners = pose.Corners(Sensor);
        IReadOnlyList<PlanePoint>? region = UsableRegion.Find(view, stops, corners, fraction);
        foreach (PlanePoint point in Grid(pose.Centre))
        {
            double light = Counted(view, stops, point);
            if (region is null || Inside(region, point, 0))
                Assert.True(light >= fraction - 0.015, $"{point} sees {light}, {fraction} is asked for.");
            else if (region.Count > 0 && !Inside(region, point, 0.25))
                Assert.True(light <= fraction + 0.015, $"{point} sees {light} and is left out, though {fraction} is asked for.");
        }
        if (region is [])
            Assert.True(Grid(pose.Centre).Max(point => Counted(view, stops, point)) <= fraction + 0.015);
    }, iter: 120);

    [Fact]
    public void Strips_agree_with_the_exact_area_along_the_sides_of_an_opening_too() =>
        Gen.Select(Gen.Double[-40, 40], Gen.Double[-30, 30], Gen.Int[0, 3].Select(i => 30.0 * i), Gen.Double[2.8, 22]).Sample((x, y, turn, aperture) =>
        {
            PupilView view = PupilView.Of(LensStance.Of(150, 150), aperture);
            var stop = new LightStop(IsCircle: false, new(46, 38), 20, default, turn);
            Assert.Equal(view.Fraction([stop], new(x, y)), view.Fraction([stop, stop], new(x, y)), 1e-4);
        }, iter: 400);

    [Fact]
    public void One_round_stop_leaves_a_disc() => Gen.Select(Gen.Double[0, 45], Gen.Double[-20, 20], Gen.Double[0.2, 0.99], Gen.Double[0, 360]).Sample((x, y, fraction, angle) =>
    {
        PupilView view = PupilView.Of(LensStance.Of(150, 150), 4);
        LightStop throat = LightStop.Round(44, 20, new(x, y));
        (PlanePoint centre, double radius) = UsableRegion.Disc(view, throat, fraction)!.Value;
        PlanePoint rim = centre + radius * new PlanePoint(1, 0).Rotated(angle);
        Assert.Equal(fraction, view.Fraction([throat], rim), 1e-6);
    }, iter: 200);

    [Fact]
    public void A_throat_narrower_than_the_cone_leaves_nothing() =>
        Assert.Null(UsableRegion.Disc(PupilView.Of(LensStance.Of(150, 150), 1.4), LightStop.Round(8, 20), 0.9));

    private static IEnumerable<PlanePoint> Grid(PlanePoint centre) =>
        from iy in Enumerable.Range(-4, 9)
        from ix in Enumerable.Range(-6, 13)
        select centre + new PlanePoint(3 * ix, 3 * iy);

    // Lines from a raster of the pupil to the point; no circle formula, no chord.
    private static double Counted(PupilView view, LightStop[] stops, PlanePoint point)
    {
        const int Side = 60;
        double radius = view.Distance / (2 * view.WorkingAperture);
        int all = 0, passed = 0;
        for (int i = 0; i < Side * Side; i++)
        {
            var unit = new PlanePoint(2 * (i % Side + 0.5) / Side - 1, 2 * (i / Side + 0.5) / Side - 1);
            if (unit.Length > 1)
                continue;
            all++;
            PlanePoint start = view.Foot + radius * unit;
            if (stops.All(stop => Passes(stop, point + stop.ToSensor / view.Distance * (start - point))))
                passed++;
        }
        return passed / (double)all;
    }

    private static bool Passes(LightStop stop, PlanePoint at)
    {
        PlanePoint p = (at - stop.Centre).Rotated(-stop.Rotation);
        return stop.IsCircle ? p.Length <= stop.Size.Width / 2 : Math.Abs(p.X) <= stop.Size.Width / 2 && Math.Abs(p.Y) <= stop.Size.Height / 2;
    }

    // Corners run clockwise as seen with y down: a point inside has every edge on the same side.
    private static bool Inside(IReadOnlyList<PlanePoint> polygon, PlanePoint point, double beyond)
    {
        for (int i = 0; i < polygon.Count; i++)
        {
            PlanePoint from = polygon[i], along = polygon[(i + 1) % polygon.Count] - from, to = point - from;
            if (along.Length > 1e-9 && (along.X * to.Y - along.Y * to.X) / along.Length < -beyond)
                return false;
        }
        return polygon.Count > 0;
    }
}
