using System.Text;
using Imbrex.Engine.Cards;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;
using Xunit;

namespace Imbrex.Engine.Tests.Cards;

/// <summary>The card as it is printed, read back with another library (PdfPig).</summary>
public sealed class CardsOnPaper
{
    // The list of what must be on the card.
    private static readonly string[] Wanted =
    [
        "Seen from behind the camera", "No.", "Tile", "Dial in on the scale", "Back", "Body's top points", "Shows of the scene", "Done", "File no.",
        "upright", "over", "upside down", "Approach each stop from the same side, from the smaller numbers",
        "exposure, ISO, white balance, focus", "stabilisation", "auto-rotation", "lens corrections", "tone and noise functions", "auto power-off", "sensor cleaning",
        "release without lens", "No fully electronic shutter under lamps", "Focus at the working aperture", "check the four extreme tiles: 1, 6, 7, 12",
        "settle 5 seconds", "dark cloth over the slide", "Repeat the first tile", "light, focus and tripod",
        "more than a third of a stop: restart the row", "Camera bumped: restart the take", "rise 12 mm", "shift left 5 mm", "tilt forward 1.5°",
        "f/22", "ISO 100", "yellow, graduated 2 stops", "17.9 s", "7.2 stops", "8 m from the lens",
        "Never frame the sun", "Mind traffic and edges", "Local rules and licensed practice come first",
    ];

    public static TheoryData<string> Papers => [.. Paper.ForCards.Select(paper => paper.Name)];

    [Theory]
    [MemberData(nameof(Papers))]
    public void Twelve_tiles_fit_on_one_page_with_every_item_in_legible_type(string name)
    {
        (FieldCard card, Paper paper) = (Card(CardPlans.Rail(6, CardPlans.Picture)), Paper.Named(name));
        using PdfDocument pdf = Open(Print(card, paper, $"twelve-{name}"));
        Page page = Assert.Single(pdf.GetPages());
        Assert.Equal(paper.WidthMm, page.MediaBox.Bounds.Width * 25.4 / 72, 1e-3);
        Assert.Equal(paper.HeightMm, page.MediaBox.Bounds.Height * 25.4 / 72, 1e-3);
        string text = Text(page);
        Assert.All(Wanted, item => Assert.Contains(Squeezed(item), text, StringComparison.Ordinal));
        Assert.All(page.Letters, letter => Assert.True(letter.PointSize > CardSheets.LeastPoints - 0.01, $"{letter.Value}: {letter.PointSize} points"));
        Assert.All(page.Letters, letter => Assert.True(letter.BoundingBox.Left > 8 && letter.BoundingBox.Right < page.Width - 8 && letter.BoundingBox.Bottom > 8, $"{letter.Value} at {letter.BoundingBox}"));
    }

    [Fact]
    public void The_page_for_a_screen_has_the_same_words()
    {
        FieldCard card = Card(CardPlans.Rail(6, CardPlans.Picture));
        string html = Encoding.UTF8.GetString(CardHtml.Write(card, Paper.A5));
        File.WriteAllText(Path.Combine(AppContext.BaseDirectory, "card.html"), html);
        string text = Squeezed(System.Net.WebUtility.HtmlDecode(System.Text.RegularExpressions.Regex.Replace(html, "<[^>]*>", "")));
        Assert.All(Wanted, item => Assert.Contains(Squeezed(item), text, StringComparison.Ordinal));
        Assert.DoesNotContain("http", html, StringComparison.Ordinal);
    }

    [Fact]
    public void No_line_of_type_runs_into_another()
    {
        foreach (int columns in new[] { 1, 3, 6 })
        {
            using PdfDocument pdf = Open(Print(Card(CardPlans.Rail(columns)), Paper.A5, $"rail-{columns}"));
            Letter[] letters = [.. pdf.GetPages().Single().Letters.Where(letter => letter.Value != " ")];
            for (int i = 0; i < letters.Length; i++)
            {
                for (int j = i + 1; j < letters.Length; j++)
                    Assert.False(Overlap(letters[i], letters[j]), $"{letters[i].Value} at {letters[i].BoundingBox} and {letters[j].Value} at {letters[j].BoundingBox}");
            }
        }
    }

    [Fact]
    public void Forty_tiles_go_on_to_further_pages_and_the_first_says_so()
    {
        FieldCard card = Card(CardPlans.Rail(20, kit: "\"minMm\": -400, \"maxMm\": 400"));
        using PdfDocument pdf = Open(Print(card, Paper.A5, "forty"));
        Assert.True(pdf.NumberOfPages >= 2);
        Assert.Contains(Squeezed("more than one page"), Text(pdf.GetPage(1)), StringComparison.Ordinal);
        string all = string.Concat(pdf.GetPages().Select(Text));
        Assert.All(card.Rows, row => Assert.Contains(Squeezed(string.Concat(row.Cells)), all, StringComparison.Ordinal));
        Assert.All(pdf.GetPages().SelectMany(page => page.Letters), letter => Assert.True(letter.PointSize > CardSheets.LeastPoints - 0.01));
    }

    [Fact]
    public void The_same_plan_gives_the_same_bytes_and_another_gives_others()
    {
        byte[] once = Print(Card(CardPlans.Rail(3, CardPlans.Picture)), Paper.A5, "same");
        Thread.Sleep(1100); // the dates in a PDF count seconds
        Assert.Equal(once, Print(Card(CardPlans.Rail(3, CardPlans.Picture)), Paper.A5, "same"));
        Assert.NotEqual(once, Print(Card(CardPlans.Rail(4, CardPlans.Picture)), Paper.A5, "other"));
    }

    [Fact]
    public void Any_name_is_printed_and_long_ones_are_shortened()
    {
        PlanDocument plan = CardPlans.Example() with { Name = "<&\u0001😀 " + new string('w', 200) };
        plan = plan with { Tiles = [plan.Tiles[0] with { Id = new string('m', 80) }] };
        using PdfDocument pdf = Open(Print(Card(new(plan, CardPlans.Rail(1).Verdict)), Paper.HalfLetter, "names"));
        Assert.Single(pdf.GetPages());
    }

    [Fact]
    public void A_paper_that_there_is_not_is_refused_with_those_there_are() =>
        Assert.Contains("a5 or half-letter", Assert.Throws<InputException>(() => Paper.Named("a4")).Remedy, StringComparison.Ordinal);

    private static FieldCard Card(PlanResult result) => FieldCard.Of(result.Plan!, result.Verdict);

    private static byte[] Print(FieldCard card, Paper paper, string name)
    {
        byte[] pdf = PdfSheets.Write(card.Title, CardSheets.Of(card, paper));
        File.WriteAllBytes(Path.Combine(AppContext.BaseDirectory, $"card-{name}.pdf"), pdf);
        return pdf;
    }

    private static PdfDocument Open(byte[] pdf) => PdfDocument.Open(pdf);

    // In the order in which it was written, without spaces: lines are broken where the paper ends.
    private static string Text(Page page) => Squeezed(string.Concat(page.Letters.Select(letter => letter.Value)));

    private static string Squeezed(string text) => string.Concat(text.Where(c => !char.IsWhiteSpace(c)));

    private static bool Overlap(Letter a, Letter b)
    {
        const double Kerning = 0.6;
        return Math.Min(a.BoundingBox.Right, b.BoundingBox.Right) - Math.Max(a.BoundingBox.Left, b.BoundingBox.Left) > Kerning
            && Math.Min(a.BoundingBox.Top, b.BoundingBox.Top) - Math.Max(a.BoundingBox.Bottom, b.BoundingBox.Bottom) > Kerning;
    }
}
