using Imbrex.Engine.Cards;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;
using UglyToad.PdfPig.Core;
using Xunit;

namespace Imbrex.Engine.Tests.Cards;

/// <summary>Mask and scale measured in the PDF's own coordinates (PdfPig), 72 points to the inch.</summary>
public sealed class SheetsAtFullSize
{
    private const double Exact = 0.002; // mm: PDF coordinates are written to a thousandth of a point

    [Theory]
    [InlineData("a5")]
    [InlineData("half-letter")]
    public void Both_carry_the_line_the_square_and_the_words(string name)
    {
        PlanResult result = CardPlans.Rail(3);
        foreach (Sheet sheet in new[] { GroundGlassMask.Of(result.Plan!, result.Verdict, Paper.Named(name)), ScaleStrip.Of(result.Plan!, result.Verdict, Paper.Named(name)) })
        {
            using PdfDocument pdf = Open(sheet, $"full-{name}");
            Page page = Assert.Single(pdf.GetPages());
            Assert.Contains("print at 100 %", string.Concat(page.Letters.Select(letter => letter.Value)), StringComparison.Ordinal);
            (double Width, double Height)[] sizes = Sizes(page);
            Assert.Single(sizes, size => Is(size, 100, 0));
            Assert.Single(sizes, size => Is(size, 50, 50));
            Assert.All(page.Paths.Select(path => path.GetBoundingRectangle()!.Value), box => Assert.True(box.Left > 8 && box.Bottom > 8 && box.Right < page.Width - 8 && box.Top < page.Height - 8, $"{box}"));
        }
    }

    [Fact]
    public void The_mask_shows_format_and_tiles_at_full_size_in_their_places()
    {
        PlanResult result = CardPlans.Rail(3);
        using PdfDocument pdf = Open(GroundGlassMask.Of(result.Plan!, result.Verdict, Paper.A5), "mask");
        Page page = pdf.GetPage(1);
        PdfRectangle[] boxes = [.. page.Paths.Select(path => path.GetBoundingRectangle()!.Value)];
        PdfRectangle format = Assert.Single(boxes, box => Is((Mm(box.Width), Mm(box.Height)), 76, 42));
        PdfRectangle[] tiles = [.. boxes.Where(box => Is((Mm(box.Width), Mm(box.Height)), 36, 24))];
        Assert.Equal(6, tiles.Length);
        foreach ((TilePart tile, PdfRectangle box) in result.Plan!.Tiles.Zip(tiles))
        {
            Assert.Equal(tile.XMm, Mm(box.Centroid.X - format.Centroid.X), Exact);
            Assert.Equal(tile.YMm, Mm(format.Centroid.Y - box.Centroid.Y), Exact);
        }
    }

    [Fact]
    public void The_image_circle_is_as_wide_as_the_lens_makes_it()
    {
        PlanDocument plan = CardPlans.Rail(3).Plan!;
        plan = plan with { Kit = plan.Kit! with { Lens = new() { FocalLengthMm = 150, LightCircleMm = 160, ImageCircleAperture = 16 } } };
        VerdictDocument verdict = AcceptanceCheck.Judge(CheckRequest.For(plan, back: null));
        Sheet sheet = GroundGlassMask.Of(plan, verdict, Paper.A5);
        LineMark[] dashes = [.. sheet.Marks.OfType<LineMark>().Where(line => line.Dashed)];
        Assert.Equal(160, dashes.Max(line => line.From.X) - dashes.Min(line => line.From.X), 0.05);
        Assert.Equal(160, dashes.Max(line => line.From.Y) - dashes.Min(line => line.From.Y), 0.05);
    }

    [Fact]
    public void The_marks_of_the_scale_lie_as_far_apart_as_the_stops()
    {
        PlanResult result = CardPlans.Rail(3);
        PlanDocument plan = result.Plan!;
        using PdfDocument pdf = Open(ScaleStrip.Of(plan, result.Verdict, Paper.A5), "scale");
        Page page = pdf.GetPage(1);
        PdfRectangle[] boxes = [.. page.Paths.Select(path => path.GetBoundingRectangle()!.Value)];
        PdfRectangle strip = Assert.Single(boxes, box => Math.Abs(Mm(box.Width) - 140) < Exact);
        double[] marks = [.. boxes.Where(box => box.Width < 0.01 && box.Bottom >= strip.Bottom - 0.01 && box.Top <= strip.Top + 0.01).Select(box => Mm(box.Left - strip.Left)).Order()];
        double[] wanted = [.. plan.Tiles.Select(tile => tile.Setting!.Positions[0] + 70).Order()];
        Assert.Equal(wanted.Length, marks.Length);
        Assert.All(wanted.Zip(marks), pair => Assert.Equal(pair.First, pair.Second, Exact));
    }

    [Fact]
    public void A_scale_without_a_back_is_refused()
    {
        PlanResult result = CardPlans.Rail(1);
        Assert.Contains("needs a kit", Assert.Throws<InputException>(() => ScaleStrip.Of(result.Plan! with { Kit = null, Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 6000, HeightPx = 4000 } }, result.Verdict, Paper.A5)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void What_fits_no_sheet_is_refused_with_both_sizes()
    {
        PlanResult wide = CardPlans.Rail(40, kit: "\"minMm\": -800, \"maxMm\": 800");
        Assert.Contains("the largest is A2", Assert.Throws<InputException>(() => GroundGlassMask.Of(wide.Plan!, wide.Verdict, Paper.A5)).Message, StringComparison.Ordinal);
        Assert.Contains("the largest is ANSI C", Assert.Throws<InputException>(() => ScaleStrip.Of(wide.Plan!, wide.Verdict, Paper.HalfLetter)).Message, StringComparison.Ordinal);
    }

    private static PdfDocument Open(Sheet sheet, string name)
    {
        byte[] pdf = PdfSheets.Write(name, [sheet]);
        File.WriteAllBytes(Path.Combine(AppContext.BaseDirectory, $"{name}.pdf"), pdf);
        return PdfDocument.Open(pdf);
    }

    private static (double Width, double Height)[] Sizes(Page page) => [.. page.Paths.Select(path => path.GetBoundingRectangle()!.Value).Select(box => (Mm(box.Width), Mm(box.Height)))];

    private static bool Is((double Width, double Height) size, double width, double height) => Math.Abs(size.Width - width) < Exact && Math.Abs(size.Height - height) < Exact;

    private static double Mm(double points) => points * 25.4 / 72;
}
