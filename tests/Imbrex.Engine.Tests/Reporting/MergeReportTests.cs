using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Tests.Merging;
using Xunit;

namespace Imbrex.Engine.Tests.Reporting;

public sealed partial class MergeReportTests
{
    private const string Nasty = "<b>&\"tile's\" — größe";

    [Fact]
    public void The_page_is_well_formed_self_contained_and_shows_every_tile_under_its_own_name()
    {
        PlanDocument plan = SmallTake.Grid(2, 2);
        plan = plan with { Name = "Quarry <script>alert(1)</script>", Tiles = [plan.Tiles[0] with { Id = Nasty }, .. plan.Tiles.Skip(1)] };
        plan = plan with { Format = new() { WidthMm = plan.Format.WidthMm + 6, HeightMm = plan.Format.HeightMm } };
        using var bench = new MergeBench(SmallTake.Photograph, plan, SmallTake.Shaken);
        MergeResult result = bench.Merge();
        string html = File.ReadAllText(Path.Combine(bench.Output, MergeRunner.ReportName), Encoding.UTF8);

        // HTML with all its tags closed but for the void ones: an XML parser finds what is not balanced, and every name not escaped.
        Assert.StartsWith("<!doctype html>", html);
        XDocument page = XDocument.Parse(VoidTags().Replace(html["<!doctype html>".Length..], "<$1$2/>"));
        Assert.Empty(page.Descendants("script"));
        Assert.Empty(page.Descendants("b"));
        Assert.Equal("Quarry <script>alert(1)</script>: merged picture", page.Descendants("h1").Single().Value);

        List<string> cells = [.. page.Descendants("td").Select(cell => cell.Value)], labels = [.. page.Descendants("text").Select(label => label.Value)];
        foreach (MosaicTilePart tile in result.Mosaic.Tiles)
        {
            Assert.Contains(tile.Id, cells);
            Assert.Contains(tile.Id, labels);
            Assert.Contains(tile.File, cells);
        }
        Assert.Equal(2 * 4, page.Descendants("polygon").Count());
        foreach (FindingPart finding in result.Mosaic.Findings)
            Assert.Contains(finding.Text, page.Descendants("p").Select(p => p.Value));
        Assert.Contains(result.Mosaic.Findings, f => f.Kind == "hole");

        // Nothing from elsewhere: all references are pictures inside the page.
        // Coded pictures may spell anything by chance.
        string written = CodedPictures().Replace(html, "");
        Assert.DoesNotContain("http", written, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("url(", written, StringComparison.OrdinalIgnoreCase);
        List<XAttribute> references = [.. page.Descendants().Attributes().Where(a => a.Name.LocalName is "href" or "src" or "action" or "data")];
        Assert.All(references, reference => Assert.StartsWith("data:image/", reference.Value));
        XAttribute reference = Assert.Single(references, a => a.Value.StartsWith("data:image/jpeg;base64,", StringComparison.Ordinal));
        byte[] jpeg = Convert.FromBase64String(reference.Value["data:image/jpeg;base64,".Length..]);
        using NetVips.Image picture = NetVips.Image.NewFromBuffer(jpeg, failOn: NetVips.Enums.FailOn.Error);
        Assert.Equal((double)result.Mosaic.WidthPx / result.Mosaic.HeightPx, (double)picture.Width / picture.Height, 0.02);
        Assert.DoesNotContain(Path.GetTempPath(), html);
    }

    [GeneratedRegex("(?<=;base64,)[A-Za-z0-9+/=]+")]
    private static partial Regex CodedPictures();

    [GeneratedRegex("<(meta|img)([^>]*)>")]
    private static partial Regex VoidTags();
}
