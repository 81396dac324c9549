using CsCheck;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Sdk.Tests.Parameters;

/// <summary>Parameters declared once: what is legal, how it is read, and what a person is told.</summary>
public sealed class Declarations
{
    private static readonly ParameterDefinition Side = ParameterDefinition.Number("side", "How far out", 34, Unit.Millimetre, 26, 40);
    private static readonly ParameterDefinition Rows = ParameterDefinition.Count("rows", "Rows", 2, 1, 9);
    private static readonly ParameterDefinition Turn = ParameterDefinition.Choice("turn", "Turn", "0", "90", "best");

    [Theory]
    [InlineData("26", 26)]
    [InlineData("40.0", 40)]
    [InlineData("3.4e1", 34)]
    public void Numbers_are_read_in_invariant_notation(string text, double value) => Assert.Equal(value, Side.Parse(text));

    [Theory]
    [InlineData("25.9")]
    [InlineData("40.1")]
    [InlineData("NaN")]
    [InlineData("Infinity")]
    [InlineData("1e999")]
    [InlineData("34,5")]
    [InlineData("thirty")]
    [InlineData("")]
    public void What_is_not_legal_is_refused_with_the_range_and_the_unit(string text)
    {
        InputException fault = Assert.Throws<InputException>(() => Side.Parse(text));
        Assert.Equal("side", fault.Where);
        Assert.Contains("from 26 to 40 mm", fault.Remedy, StringComparison.Ordinal);
        Assert.Equal(1, fault.ExitCode);
    }

    [Theory]
    [InlineData("2.5")]
    [InlineData("0")]
    [InlineData("10")]
    public void Counts_are_whole_and_within_their_range(string text) =>
        Assert.Contains("a whole number from 1 to 9", Assert.Throws<InputException>(() => Rows.Parse(text)).Remedy, StringComparison.Ordinal);

    [Fact]
    public void Words_are_one_of_the_list() =>
        Assert.Contains("0, 90, best", Assert.Throws<InputException>(() => Turn.Parse("45")).Remedy, StringComparison.Ordinal);

    [Fact]
    public void Whatever_is_legal_survives_being_written_and_read() => Gen.Double[26, 40].Sample(value => Assert.Equal(value, Side.Parse(Side.Format(value))));

    [Fact]
    public void A_declaration_that_contradicts_itself_is_a_programmers_mistake()
    {
        Assert.Throws<ArgumentException>(() => ParameterDefinition.Number("Side", "", 1));
        Assert.Throws<ArgumentException>(() => ParameterDefinition.Number("side", "", 50, Unit.Millimetre, 26, 40));
        Assert.Throws<ArgumentException>(() => ParameterDefinition.Number("side", "", double.NaN));
        Assert.Throws<ArgumentException>(() => ParameterDefinition.Choice("side", ""));
        Assert.Throws<ArgumentException>(() => new PartDescription("part", "A part", Side, Side));
    }

    [Fact]
    public void Binding_fills_in_defaults_and_keeps_what_was_given()
    {
        ParameterValues values = ParameterValues.Bind([Side, Rows, Turn, ParameterDefinition.Flag("dry", "Dry run")], new Dictionary<string, string> { ["rows"] = "3", ["turn"] = "best" });
        Assert.Equal((34.0, 3, "best", false), (values["side"], values.Whole("rows"), values.Word("turn"), values.Flag("dry")));
        Assert.Equal(["side", "rows", "turn", "dry"], values.ToText().Keys);
        Assert.Equal("no", values.ToText()["dry"]);
        Assert.Throws<KeyNotFoundException>(() => values["other"]);
    }

    [Fact]
    public void An_unknown_name_gets_the_nearest_known_one()
    {
        InputException fault = Assert.Throws<InputException>(() => ParameterValues.Bind([Side, Rows], new Dictionary<string, string> { ["rwos"] = "3" }));
        Assert.Equal("Did you mean 'rows'?", fault.Remedy);
    }

    [Theory]
    [InlineData("regular-gird", "regular-grid")]
    [InlineData("REGULAR-GRID", "regular-grid")]
    [InlineData("stagered-rows", "staggered-rows")]
    [InlineData("zoom", null)]
    public void Nearest_words_are_found_and_far_ones_are_not_forced(string word, string? near) =>
        Assert.Equal(near, NearestWord.Find(word, ["regular-grid", "staggered-rows", "single-strip"]));

    [Theory]
    [InlineData("a", true)]
    [InlineData("regular-grid", true)]
    [InlineData("step-2", true)]
    [InlineData("", false)]
    [InlineData(null, false)]
    [InlineData("2x2", false)]
    [InlineData("two--two", false)]
    [InlineData("two-", false)]
    [InlineData("Two", false)]
    [InlineData("gr\u0438d", false)]
    public void Names_are_kebab_case(string? name, bool valid) => Assert.Equal(valid, KebabCase.IsValid(name));
}
