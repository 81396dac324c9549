using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Reference.Tests.Optics;

/// <summary>What the throat of a mount and the opening of a back leave of the light: worked values, and random rays that know no formula.</summary>
public sealed class MountThroat
{
    private const int Rays = 200_000;

    // Weisstein, Circle-Circle Intersection, MathWorld; the last is the problem stated there: half of a unit disc.
    [Theory]
    [InlineData(1, 1, 1, 1.22837)]
    [InlineData(3, 5, 4, 18.2247)]
    [InlineData(1, 1, 0.807946, 1.570796)]
    [InlineData(1, 1, 2, 0)]
    [InlineData(1, 3, 2, 3.141593)]
    public void Area_common_to_two_discs(double r, double big, double d, double area)
    {
        Assert.Equal(area, ClippedDisc.WithDisc(r, big, d), 1e-5 * Math.Max(1, area));
        Assert.Equal(area, ClippedDisc.WithDisc(big, r, d), 1e-5 * Math.Max(1, area));
    }

    // Own derivation (similar triangles), worked with Z = 150, t = 18, R = 23; the Monte Carlo value beside it was 0.8249.
    [Theory]
    [InlineData(30, -18, -12, 5.6, 0.824796)]
    [InlineData(30, -18, -12, 22, 1)]
    [InlineData(40, -18, -12, 5.6, 0.419833)]
    [InlineData(30, 18, 12, 5.6, 1)]
    public void The_corner_nearest_the_lens_axis_goes_first(double s, double x, double y, double aperture, double fraction) =>
        Assert.Equal(fraction, At(s, aperture, new(x, y)), 2e-6);

    [Fact]
    public void The_cone_of_the_worked_value()
    {
        PupilView view = View(5.6);
        LightStop throat = Throat(30);
        Assert.Equal(1.60714, view.ConeRadius(throat), 1e-5);
        Assert.Equal(22.1230, view.ConeCentre(throat, new(12, -12)).Length, 1e-4);
    }

    // The largest displacement at which the corner nearest the axis still sees everything.
    [Theory]
    [InlineData(5.6, 23.0405)]
    [InlineData(16, 32.9764)]
    [InlineData(22, 34.4239)]
    public void Largest_displacement_without_loss(double aperture, double largest)
    {
        Assert.Equal(1, At(largest - 1e-3, aperture, new(-18, -12)), 1e-12);
        Assert.True(At(largest + 1e-2, aperture, new(-18, -12)) < 1);
    }

    [Theory]
    [InlineData(30, 0, 5.6, -18, -12)]
    [InlineData(40, 0, 5.6, -18, -12)]
    [InlineData(28, 14, 8, -18, -12)]
    [InlineData(35, 20, 4, -10, 3)]
    public void A_round_throat_against_random_rays(double sx, double sy, double aperture, double x, double y)
    {
        LightStop throat = LightStop.Round(46, 18, new(sx, sy));
        AgreesWithRays(View(aperture), [throat], new(sx + x, sy + y));
    }

    [Theory]
    [InlineData(0, 20, -12)]
    [InlineData(0, 35, 27)]
    [InlineData(7, 35, 27)]
    [InlineData(45, 10, 41)]
    [InlineData(0, 37.5, 30)]
    public void A_rectangular_opening_against_random_rays(double rotation, double x, double y) =>
        AgreesWithRays(View(4), [new(IsCircle: false, new(70, 50), 40, new(2, 3), rotation)], new(x, y));

    [Theory]
    [InlineData(30, 12)]
    [InlineData(44, 20)]
    [InlineData(36, 33)]
    public void Throat_and_opening_together_against_random_rays(double x, double y) =>
        AgreesWithRays(View(4), [LightStop.Round(46, 18, new(30, 10)), new(IsCircle: false, new(70, 50), 40, default, 5), new(IsCircle: false, new(38, 28), 6, new(30, 10), 90)], new(x, y));

    // Several stops go by strips: with a stop that takes nothing beside it, one stop must come out as by its formula.
    [Fact]
    public void Strips_agree_with_the_formulas()
    {
        PupilView view = View(5.6);
        LightStop wide = LightStop.Round(500, 10);
        foreach (LightStop stop in new[] { Throat(30), new LightStop(false, new(70, 50), 40, default, 12) })
        {
            for (double x = 0; x <= 45; x += 1.7)
                Assert.Equal(view.Fraction([stop], new(x, -14)), view.Fraction([stop, wide], new(x, -14)), 1e-4);
        }
    }

    private static double At(double s, double aperture, PlanePoint corner) => View(aperture).Fraction([Throat(s)], corner + new PlanePoint(s, 0));

    private static PupilView View(double aperture) => PupilView.Of(LensStance.Of(150, 150), aperture);

    private static LightStop Throat(double s) => LightStop.Round(46, 18, new(s, 0));

    // Straight lines from random points of the pupil to the pixel, in three dimensions; what passes every opening is counted. Four standard errors.
    private static void AgreesWithRays(PupilView view, LightStop[] stops, PlanePoint pixel)
    {
        var random = new Random(20_240_229);
        double pupilRadius = view.Distance / (2 * view.WorkingAperture);
        int passed = 0;
        for (int i = 0; i < Rays; i++)
        {
            PlanePoint start = view.Foot + pupilRadius * Math.Sqrt(random.NextDouble()) * new PlanePoint(1, 0).Rotated(360 * random.NextDouble());
            if (stops.All(stop => Passes(stop, pixel + stop.ToSensor / view.Distance * (start - pixel))))
                passed++;
        }
        double counted = passed / (double)Rays;
        double fraction = view.Fraction(stops, pixel);
        double error = Math.Sqrt(Math.Max(1e-6, counted * (1 - counted)) / Rays);
        Assert.InRange(fraction, counted - 4 * error - 1e-4, counted + 4 * error + 1e-4);
    }

    private static bool Passes(LightStop stop, PlanePoint at)
    {
        PlanePoint p = (at - stop.Centre).Rotated(-stop.Rotation);
        return stop.IsCircle ? p.Length <= stop.Size.Width / 2 : Math.Abs(p.X) <= stop.Size.Width / 2 && Math.Abs(p.Y) <= stop.Size.Height / 2;
    }
}
