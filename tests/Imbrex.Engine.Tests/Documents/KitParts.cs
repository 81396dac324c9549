using System.Text;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Documents;

/// <summary>Outlines, pivots and depths of a kit: read as they are written, refused with their place.</summary>
public sealed class KitParts
{
    private const string Slide = "{ \"minMm\": 0, \"maxMm\": 9 }";
    private const string Square = "[[0,0],[4,0],[4,4],[0,4]]";

    [Theory]
    [InlineData("""{ "name": "grip", "ringsMm": [[[0,0],[4,0]]] }""", "$.body.outline[0].ringsMm[0]", "at least three points")]
    [InlineData("""{ "name": "grip", "ringsMm": [[[0,0],[4,0],[4,4,1]]] }""", "$.body.outline[0].ringsMm[0][2]", "A point is [x, y]")]
    [InlineData("""{ "name": "grip", "ringsMm": [[[0,0],[4,4],[4,0],[0,4]]] }""", "$.body.outline[0].ringsMm", "crosses itself")]
    [InlineData("""{ "name": "grip", "ringsMm": [[[0,0],[4,0],[4,4],[0,4]],[[8,8],[9,8],[9,9]]] }""", "$.body.outline[0].ringsMm", "a hole does not lie inside")]
    [InlineData("""{ "name": "grip", "ringsMm": [] }""", "$.body.outline[0].ringsMm", "no outline")]
    [InlineData("""{ "name": " ", "ringsMm": [[[0,0],[4,0],[4,4],[0,4]]] }""", "$.body.outline[0].name", "no name")]
    [InlineData("""{ "name": "grip", "ringsMm": [[[0,0],[4,0],[4,4],[0,4]]], "fromDepthMm": 3, "toDepthMm": 3 }""", "$.body.outline[0].toDepthMm", "ends before it begins")]
    [InlineData("""{ "name": "grip", "ringsMm": [[[0,0],[4,0],[4,4],[0,4]]], "movesWith": "carriage" }""", "$.body.outline[0].movesWith", "Only parts of the back")]
    [InlineData("""{ "name": "grip", "ringsMm": [null] }""", "$.body.outline[0].ringsMm[0]", "null")]
    public void An_outline_that_makes_no_sense_is_refused(string part, string path, string words) => Refused(Kit(outline: part), path, words);

    [Theory]
    [InlineData("""{ "minMm": 0, "maxMm": 9, "minDeg": 0, "maxDeg": 9 }""", "$.back.axes[0]", "never both")]
    [InlineData("""{ "minDeg": 0 }""", "$.back.axes[0]", "\"minDeg\" and \"maxDeg\" for a pivot")]
    [InlineData("""{ "minDeg": 0, "maxDeg": 9, "scaleZeroMm": 4 }""", "$.back.axes[0]", "never both")]
    [InlineData("""{ "toleranceMm": 0.1 }""", "$.back.axes[0]", "\"minMm\" and \"maxMm\"")]
    [InlineData("""{ "minDeg": 9, "maxDeg": 0 }""", "$.back.axes[0].maxDeg", "maxDeg is smaller")]
    [InlineData("""{ "minDeg": 0, "maxDeg": 9, "detentsDeg": [12] }""", "$.back.axes[0].detentsDeg[0]", "12 degrees lies outside")]
    public void An_axis_is_a_slide_or_a_pivot(string axis, string path, string words) => Refused(Kit(axis: axis), path, words);

    [Theory]
    [InlineData("[4]", "$.back.datumToMountMm", "[least, most]")]
    [InlineData("[9, 4]", "$.back.datumToMountMm", "ends before it begins")]
    [InlineData("-1", "$.back.datumToMountMm", "must not be negative")]
    [InlineData("\"4\"", "$.back.datumToMountMm", "A number is expected")]
    public void A_depth_is_a_number_or_a_range(string depth, string path, string words) => Refused(Kit(depth: depth), path, words);

    [Fact]
    public void What_is_written_reads_back_the_same()
    {
        string text = Kit(axis: """{ "minDeg": -20, "maxDeg": 20, "detentsDeg": [-10, 10], "scaleZeroDeg": 90 }""", depth: "[4, 9]",
            outline: $$"""{ "name": "grip", "ringsMm": [{{Square}}], "fromDepthMm": 1 }""");
        KitDocument kit = Parse(text);
        Assert.Equal(new MountDepthPart(4, 9), kit.Back.DatumToMountMm);
        AxisPart axis = kit.Back.Axes![0];
        Assert.True(axis.IsPivot);
        Assert.Equal((-20, 20, 90), (axis.Minimum, axis.Maximum, axis.ScaleZero));
        byte[] written = JsonDocuments.ToBytes(kit);
        Assert.Equal(written, JsonDocuments.ToBytes(JsonDocuments.Parse<KitDocument>(written, KitDocument.SchemaName, "kit.json")));
        Assert.DoesNotContain("isPivot", Encoding.UTF8.GetString(written), StringComparison.Ordinal);
        Assert.Contains("\"datumToMountMm\": 4", Encoding.UTF8.GetString(JsonDocuments.ToBytes(Parse(Kit(depth: "4")))), StringComparison.Ordinal);
    }

    private static void Refused(string kit, string path, string words)
    {
        InputException fault = Assert.Throws<InputException>(() => Parse(kit));
        Assert.Contains(words, fault.Message, StringComparison.Ordinal);
        Assert.Contains(path, fault.Where, StringComparison.Ordinal);
    }

    private static KitDocument Parse(string kit) => JsonDocuments.Parse<KitDocument>(Encoding.UTF8.GetBytes(kit), KitDocument.SchemaName, "kit.json");

    private static string Kit(string outline = "", string axis = Slide, string depth = "4") => $$"""
        { "schema": "imbrex/kit/1",
          "body": { "widthMm": 36, "heightMm": 24, "widthPx": 600, "heightPx": 400, "outline": [ {{outline}} ] },
          "back": { "adapter": "rail", "datumToMountMm": {{depth}}, "axes": [ {{axis}} ] } }
        """;
}
