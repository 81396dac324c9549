using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Reference.Tests.Optics;

/// <summary>
/// The optics of view cameras against values worked out by hand from the formulas in the sources named beside each. Where a value is printed in a
/// source, it says so; where the formula itself is from memory or common practice, that too.
/// </summary>
public sealed class ViewCameraFormulas
{
    private const double Green = 0.00055;

    // The lens equation, any text of optics.
    [Fact]
    public void A_150_mm_lens_at_1_5_m()
    {
        double m = ThinLens.Magnification(150, 1500);
        Near(0.111111, m);
        Near(166.667, ThinLens.ImageDistance(150, m));
        Near(166.667, ThinLens.ImageDistanceOf(150, 1500));
        Near(1500, ThinLens.ObjectDistance(150, m));
        Near(1.23457, ThinLens.BellowsFactor(m));
        Near(0.304006, ThinLens.BellowsStops(m));
        Assert.Equal(0, ThinLens.Magnification(150, double.PositiveInfinity));
        Assert.Equal(double.PositiveInfinity, ThinLens.ObjectDistance(150, 0));
    }

    // The same texts; at life size the light is a quarter, and a pupil magnification of 0.8 makes a quarter of life size cost more.
    [Theory]
    [InlineData(1, 1, 4, 2)]
    [InlineData(0.25, 0.8, 1.72266, 0.784635)]
    public void Pulling_out_the_bellows_costs_light(double m, double pupil, double factor, double stops)
    {
        Near(factor, ThinLens.BellowsFactor(m, pupil));
        Near(stops, ThinLens.BellowsStops(m, pupil));
        Near(11 * Math.Sqrt(factor), ThinLens.WorkingAperture(11, m, pupil));
    }

    // Geometry of a cone behind the lens; a forum's derivation.
    [Theory]
    [InlineData(0, 217.963)]
    [InlineData(1.0 / 9, 242.181)]
    [InlineData(1, 435.926)]
    public void The_image_circle_of_72_degrees_grows_with_the_magnification(double m, double diameter)
    {
        Near(diameter, ImageCircle.Diameter(150, m, 72));
        Near(diameter, ImageCircle.Grown(217.963, m));
        LensStance stance = LensStance.Of(ThinLens.ImageDistance(150, m), ThinLens.ImageDistance(150, m));
        Near(diameter, LightCircle.Of(stance, 217.963, 150).Diameter);
    }

    // Geometry: a rectangle lies in a circle if and only if its corners do.
    [Fact]
    public void A_sheet_of_120_by_95_rises_by_43_5_and_shifts_by_38_1_in_a_circle_of_218()
    {
        Near(43.4777, ImageCircle.LargestDisplacement(217.963, 120, 95));
        Near(38.0851, ImageCircle.LargestDisplacement(217.963, 95, 120));
        var circle = LightCircle.Of(LensStance.Of(150, 150), 217.963, 150);
        Near(43.4777, circle.Room(new(120, 95), new(0, -1)));
        Near(43.4777, circle.Room(new(120, 95), new(0, 1)));
        Near(38.0851, circle.Room(new(120, 95), new(1, 0)));
        Near(33.4777, (circle with { Stance = LensStance.Of(150, 150, rise: 10) }).Room(new(120, 95), new(0, -1)));
    }

    // Design, section 3: front rise R puts the axis at (0, -R), shift to the right S at (S, 0); 5 degrees at 150 mm move it by 13.1 mm.
    [Fact]
    public void Movements_put_the_axis_where_the_design_says()
    {
        Assert.Equal(new PlanePoint(7, -10), LensStance.Of(150, 150, rise: 10, shift: 7).Axis);
        Near(-13.1233, LensStance.Of(150, 150, tiltDeg: 5).Axis.Y);
        Near(-13.1233, LensStance.Of(150, 150, swingDeg: 5).Axis.X);
    }

    // cos^4: derivation Kerr 2007.
    [Fact]
    public void Light_falls_off_with_the_fourth_power_of_the_cosine()
    {
        Near(0.5625, NaturalFalloff.Cos4(Math.Tan(Math.PI / 6)));
        Near(-0.830075, NaturalFalloff.Stops(NaturalFalloff.Cos4(Math.Tan(Math.PI / 6))));
        Near(0.4096, NaturalFalloff.Cos4(0.75));
        Near(0.629604, NaturalFalloff.Cos4(76.5261 / 150));
        Near(-0.667484, NaturalFalloff.Stops(NaturalFalloff.Cos4(76.5261 / 150)));
        Near(-0.551981, NaturalFalloff.Stops(NaturalFalloff.Cos4(76.5261 / 166.667)));
        LensStance stance = LensStance.Of(150, 150);
        Near(0.629604, stance.SmallPupilLight(new(60, 47.5)));
        Near(76.5261 / 150, stance.PupilSlope(new(60, 47.5)));
    }

    // The exact disc: Foote 1915, from memory.
    [Theory]
    [InlineData(5.6, 0.566129)]
    [InlineData(22, 0.562736)]
    public void A_disc_of_light_falls_off_a_little_less(double aperture, double ratio) =>
        Near(ratio, NaturalFalloff.Disc(Math.Tan(Math.PI / 6), aperture));

    // Born and Wolf; Goodman (from memory).
    [Theory]
    [InlineData(22, 82.6446, 0.0147580, 67.7598)]
    [InlineData(16, 113.636, 0.0107331, 93.1698)]
    public void Diffraction_at_a_round_aperture(double aperture, double cutOff, double radius, double rayleigh)
    {
        Near(cutOff, Diffraction.CutOff(aperture, Green));
        Near(radius, Diffraction.AiryRadius(aperture, Green));
        Near(rayleigh, Diffraction.RayleighFrequency(aperture, Green));
    }

    // Goodman (from memory).
    [Theory]
    [InlineData(0, 1)]
    [InlineData(0.25, 0.685038)]
    [InlineData(0.5, 0.391002)]
    [InlineData(0.75, 0.144294)]
    [InlineData(1, 0)]
    [InlineData(1.5, 0)]
    public void The_contrast_that_diffraction_leaves(double x, double contrast) => Assert.Equal(contrast, Diffraction.Contrast(x), 1e-6);

    // Nyquist against cut-off; from memory.
    [Fact]
    public void A_pitch_of_4_3_um_cannot_alias_from_f_16_on_and_a_colour_mosaic_from_f_31()
    {
        Near(116.279, Diffraction.Nyquist(0.0043));
        Near(15.6364, Diffraction.NoAliasingAperture(0.0043, Green));
        Near(31.2727, Diffraction.NoAliasingAperture(2 * 0.0043, Green));
    }

    // Greenleaf's exact forms (from memory).
    [Fact]
    public void Depth_of_field_of_a_150_mm_lens_at_f_22()
    {
        double coarse = DepthOfField.Hyperfocal(150, 22, 0.1);
        Near(10377.3, coarse);
        Near(3391.62, DepthOfField.Near(150, 5000, coarse));
        Near(9509.72, DepthOfField.Far(150, 5000, coarse));
        double fine = DepthOfField.Hyperfocal(150, 22, 0.01);
        Near(102423, fine);
        Near(4773.62, DepthOfField.Near(150, 5000, fine));
        Near(5248.92, DepthOfField.Far(150, 5000, fine));
        Near(0.44, DepthOfField.DepthOfFocus(22, 0.01, 0));
        Assert.Equal(double.PositiveInfinity, DepthOfField.Far(150, double.PositiveInfinity, fine));
        Near(fine - 150, DepthOfField.Near(150, double.PositiveInfinity, fine));
    }

    // Printed in Merklinger, Focusing the View Camera: "about 67 feet" for 150 mm at f/11 with c = 0.1; it leaves out the last f.
    [Fact]
    public void The_printed_hyperfocal_distance_of_67_feet() =>
        Near(67.1081, (DepthOfField.Hyperfocal(150, 11, 0.1) - 150) / 304.8);

    // View-camera practice (from memory): the spread that an aperture makes sharp is the depth of focus.
    [Fact]
    public void The_focus_spread_of_an_aperture_is_its_depth_of_focus() =>
        Near(22, DepthOfField.ApertureForSpread(DepthOfField.DepthOfFocus(22, 0.01, 0.2), 0.01, 0.2));

    // Merklinger 1993 (formula from memory).
    [Fact]
    public void Hinge_line_of_a_tilted_lens()
    {
        Near(1721.06, DepthOfField.HingeDistance(150, 5));
        Near(5.73917, DepthOfField.TiltForHinge(150, 1500));
    }

    // Hansma 1996 (principle); the constant at 546 nm is quoted as 375 and recomputes to 375.409.
    [Fact]
    public void The_aperture_that_balances_depth_and_diffraction()
    {
        Near(27.3861, Math.Sqrt(375 * 2));
        Assert.Equal(27.3861, DepthOfField.BalancedAperture(2, 0.000546), 0.02);
        Near(375.409, Math.Pow(DepthOfField.BalancedAperture(1, 0.000546), 2));
        Near(4.87868, 4 * Diffraction.AiryFactor);
    }

    // Any text of optics, by the image distance.
    [Fact]
    public void Angles_of_view_at_150_mm()
    {
        Near(13.6855, AngleOfView.Centred(36, 150));
        Near(9.14784, AngleOfView.Centred(24, 150));
        Near(16.4135, AngleOfView.Centred(43.2666, 150));
        Near(43.6028, AngleOfView.Centred(120, 150));
        Near(35.1425, AngleOfView.Centred(95, 150));
        Near(54.0590, AngleOfView.Centred(2 * 76.5261, 150));
        Near(39.5978, AngleOfView.Centred(120, 166.667));
        Near(43.6028, AngleOfView.Between(-60, 60, 150));
    }

    // The diagonals of 36 x 24 mm and of 4x5 inch; the same diagonal view at infinity is f d' / d.
    [Fact]
    public void The_focal_length_of_the_same_view_on_another_format()
    {
        Near(43.2666, Math.Sqrt(36 * 36 + 24 * 24));
        Near(162.639, 25.4 * Math.Sqrt(4 * 4 + 5 * 5));
        double same = AngleOfView.EquivalentFocalLength(150, 162.639, 43.2666, double.PositiveInfinity);
        Near(150 * 43.2666 / 162.639, same);
        Near(AngleOfView.Centred(162.639, 150), AngleOfView.Centred(43.2666, same));
    }

    // 4x5 inch to the inch; what holders leave visible: from memory. Presets that a kit may replace.
    [Fact]
    public void The_built_in_sheets()
    {
        Assert.Contains(LensCatalogue.Sheets, sheet => sheet.Name == "4x5 inch" && sheet.WidthMm == 127.0 && sheet.HeightMm == 101.6);
        Assert.Contains(LensCatalogue.Sheets, sheet => sheet.WidthMm == 120 && sheet.HeightMm == 95);
        Assert.Contains(LensCatalogue.Sheets, sheet => sheet.WidthMm == 177.8 && sheet.HeightMm == 127);
        Assert.Contains(LensCatalogue.Sheets, sheet => sheet.WidthMm == 254 && sheet.HeightMm == 203.2);
    }

    // ANSI/PIMA IT3.108-1998, seen in two independent discussions that agree: septum 0.197 inch less film of 0.007 inch.
    [Fact]
    public void The_film_in_a_4x5_holder_lies_4_83_mm_deep()
    {
        Near(5.0038, 0.197 * 25.4);
        Near(4.826, 0.190 * 25.4);
        Assert.Equal(0.190 * 25.4, FocusReach.FilmDepth4x5, 0.005);
        Near(4.826, (0.197 - 0.007) * 25.4);
    }

    // The same source; depths to the septum. That film is 0.007 inch thick in these sizes too is from memory.
    [Fact]
    public void Film_in_larger_holders_lies_deeper()
    {
        Near(5.7912, 0.228 * 25.4);
        Near(6.604, 0.260 * 25.4);
        Assert.Equal(5.7912 - 0.007 * 25.4, FocusReach.FilmDepth5x7, 0.005);
        Assert.Equal(6.604 - 0.007 * 25.4, FocusReach.FilmDepth8x10, 0.005);

        // Less than what a holder may be out by: +/-0.007, 0.010 and 0.016 inch.
        Near(0.1778, 0.007 * 25.4);
        Assert.True(0.1778 > Math.Abs(FocusReach.FilmDepth4x5 - 4.826));
    }

    // Worked by hand: 90 + 0 - (12 + 18 - 4.83) = 64.83.
    [Fact]
    public void A_90_mm_lens_behind_a_plate_of_12_and_a_register_of_18_needs_64_8_mm_from_board_to_film()
    {
        var reach = new FocusReach(90, 90, FocusReach.Depth(12, 18), 60, 300);
        Assert.Equal(64.8, reach.Needed(0), 0.05);
        Assert.True(reach.Reaches(0));
        Assert.False((reach with { Shortest = 70 }).Reaches(0));
        Near((70 + 25.17 - 90) / 90, (reach with { Shortest = 70 }).SmallestMagnification);
    }

    // Worked by hand: atan(16 * 0.009 / 45) = 0.183 degrees.
    [Fact]
    public void The_rail_may_lean_by_0_18_degrees_at_f_16() => Assert.Equal(0.18, FocusReach.LargestLean(16, 0.009, 45), 0.005);

    // Worked by hand: 0.5 m at 1.4 m/s covers a point for 0.357 s, which is 2 % of 17.9 s. The 2 %: common practice, no source.
    [Fact]
    public void A_walker_is_gone_after_18_s() => Assert.Equal(18, ExposureTimes.Vanish(500, 1400), 0.2);

    private static void Near(double expected, double actual) => Assert.Equal(expected, actual, 6e-6 * Math.Max(1e-3, Math.Abs(expected)));
}
