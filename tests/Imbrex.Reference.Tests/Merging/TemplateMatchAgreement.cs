using Imbrex.Engine.Registration;
using Xunit;

namespace Imbrex.Reference.Tests.Merging;

/// <summary>Cross-correlation against a general-purpose library.</summary>
public sealed class TemplateMatchAgreement
{
    /// <summary>
    /// Values of OpenCV 4.6.0 (NumPy 1.24.2, single precision): <c>cv2.matchTemplate(search, template, cv2.TM_CCOEFF_NORMED)[dy, dx]</c> of the
    /// two pictures below, search 48 x 40 and template 20 x 16.
    /// </summary>
    [Theory]
    [InlineData(14, 12, 0.996879)]
    [InlineData(15, 12, 0.973043)]
    [InlineData(10, 8, -0.138463)]
    [InlineData(0, 0, 0.341987)]
    [InlineData(28, 24, 0.347415)]
    [InlineData(20, 5, 0.432189)]
    [InlineData(3, 19, -0.448236)]
    public void The_coefficient_is_OpenCVs(int dx, int dy, double expected) =>
        Assert.Equal(expected, CrossCorrelation.Coefficient(Template, 0, 0, 20, 16, Search, dx, dy), 5e-6);

    /// <summary>OpenCV's largest value (cv2.minMaxLoc) is the one at (14, 12).</summary>
    [Fact]
    public void The_best_whole_shift_is_OpenCVs()
    {
        CrossCorrelation.Peak peak = CrossCorrelation.Search(Template, 0, 0, 20, 16, Search, 14, 12, 12);
        Assert.Equal(0.996879, peak.Coefficient, 5e-6);
        // By construction the template shows the picture at (14.3, 11.8).
        Assert.Equal(0.3, peak.Dx, 0.15);
        Assert.Equal(-0.2, peak.Dy, 0.15);
    }

    private static readonly GrayImage Search = Picture(48, 40, Scene);
    private static readonly GrayImage Template = Picture(20, 16, (x, y) => 0.8 * Scene(x + 14.3, y + 11.8) + 2000);

    private static double Scene(double x, double y) =>
        30000 + 9000 * Math.Sin(0.31 * x + 0.17 * y) + 7000 * Math.Cos(0.13 * x - 0.37 * y + 0.5) + 4000 * Math.Sin(0.011 * x * y);

    private static GrayImage Picture(int width, int height, Func<double, double, double> value)
    {
        var image = new GrayImage(width, height);
        for (int i = 0; i < image.Pixels.Length; i++)
            image.Pixels[i] = (float)value(i % width, i / width);
        return image;
    }
}
