using Imbrex.Engine.Optics;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Xunit;

namespace Imbrex.Reference.Tests.Colour;

/// <summary>Falloff taken out of a frame against the figures of cos^4 (Kerr 2007; reference sheet 1.3, computed from the formula).</summary>
public sealed class LensFalloffTests
{
    private static readonly Canvas Film = new(-60, -47.5, 1200, 950, 10);

    [Fact]
    public void The_corner_of_a_sheet_of_film_is_raised_by_what_it_lost()
    {
        // 120 x 95 mm at 150 mm: 0.629604 of the light in the corner. The frame's middle lies in the canvas's; pixel edges at -0.5 and 1199.5.
        var field = new LensFalloff(new Placement(599.5, 474.5, 0), Film, LensStance.Of(150, 150));
        Assert.Equal(1, field.Factor(0, 0, 0), 1e-12);
        Assert.Equal(1 / 0.629604, field.Factor(1, 600, 475), 1e-5);
        // tan a = 0.75: 0.4096.
        Assert.Equal(1 / 0.4096, new LensFalloff(new Placement(599.5, 474.5, 0), Film, LensStance.Of(80, 80)).Factor(2, 600, 0), 1e-9);
    }

    [Fact]
    public void Rise_and_shift_take_the_axis_along()
    {
        // Design, section 3: rise R puts the axis at (0, -R), shift S at (S, 0), and the picture is upside down: canvas x = -S, y = R from the middle.
        var field = new LensFalloff(new Placement(599.5, 474.5, 0), Film, LensStance.Of(150, 150, rise: 20, shift: 15));
        Assert.Equal(1, field.Factor(0, -150, 200), 1e-12);
        Assert.True(field.Factor(0, 0, 0) > 1.01);
    }
}
