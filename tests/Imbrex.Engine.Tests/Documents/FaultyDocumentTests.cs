using System.Text;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Documents;

/// <summary>What a faulty file is told: what is wrong, where, and what would be right there.</summary>
public sealed class FaultyDocumentTests
{
    private const string Sensor = "\"sensor\": { \"widthMm\": 36, \"heightMm\": 24, \"widthPx\": 600, \"heightPx\": 400 }";
    private const string Format = "\"format\": { \"widthMm\": 30, \"heightMm\": 20 }";

    [Theory]
    [InlineData("")]
    [InlineData(" \n")]
    public void An_empty_file_is_called_empty(string text)
    {
        InputException e = Fault(text);
        Assert.Equal("The file is empty.", e.Message);
        Assert.Contains("imbrex/plan/1", e.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void A_file_of_another_kind_is_told_by_its_kind_rather_than_by_its_members()
    {
        InputException e = Fault("{ \"schema\": \"imbrex/mosaic/1\", \"pxPerMm\": 60, \"master\": \"master.tif\" }");
        Assert.Equal(("The file says \"schema\": \"imbrex/mosaic/1\".", "plan.json, $.schema"), (e.Message, e.Where));
        Assert.Equal("Expected here is \"imbrex/plan/1\".", e.Remedy);
    }

    [Theory]
    [InlineData("\"tiles\": [ { \"id\": \"a\", \"xMm\": 0, \"yMm\": 0, \"turnDeq\": 90 } ]", "$.tiles[0].turnDeq", "turnDeg")]
    [InlineData("\"tils\": []", "$.tils", "tiles")]
    public void The_suggestion_for_a_member_is_one_of_the_object_it_stands_in(string member, string where, string suggestion)
    {
        InputException e = Fault($"{{ \"schema\": \"imbrex/plan/1\", {Sensor}, {Format}, {member} }}");
        Assert.EndsWith(where, e.Where, StringComparison.Ordinal);
        Assert.Equal($"Did you mean '{suggestion}'?", e.Remedy);
    }

    [Fact]
    public void A_member_of_another_object_is_not_suggested()
    {
        // "widthMm" is a member of the format, not of a tile.
        InputException e = Fault($"{{ \"schema\": \"imbrex/plan/1\", {Sensor}, {Format}, \"tiles\": [ {{ \"id\": \"a\", \"xMm\": 0, \"yMm\": 0, \"widthMn\": 1 }} ] }}");
        Assert.DoesNotContain("widthMm", e.Remedy, StringComparison.Ordinal);
    }

    private static InputException Fault(string text) =>
        Assert.Throws<InputException>(() => JsonDocuments.Parse<PlanDocument>(Encoding.UTF8.GetBytes(text), PlanDocument.SchemaName, "plan.json"));
}
