using System.CommandLine;
using System.CommandLine.Parsing;
using Imbrex.Cli.Arguments;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>Values as people type them, through the parser and its settings.</summary>
public class OptionValueTests
{
    private readonly Option<TypedSize?> _format = CommonOptions.Format();
    private readonly Option<double?> _overlap = CommonOptions.Length("--overlap", "overlap");
    private readonly Option<Tolerance?> _tolerance = CommonOptions.Tolerance();
    private readonly Option<IReadOnlyDictionary<string, string>> _set = CommonOptions.Set();

    [Fact]
    public void Sound_values_are_read()
    {
        ParseResult parsed = Parse("--format 90x44.5 --overlap 0 --tolerance 0.5,0.3 --set a=1 --set b=-2 --set c=x=y");

        Assert.Empty(parsed.Errors);
        Assert.Equal(new PlaneSize(90, 44.5), parsed.GetValue(_format)!.Size);
        Assert.Equal(0, parsed.GetValue(_overlap));
        Assert.Equal(new Tolerance(0.5, 0.3), parsed.GetValue(_tolerance));
        Assert.Equal(new Dictionary<string, string> { ["a"] = "1", ["b"] = "-2", ["c"] = "x=y" }, parsed.GetValue(_set));
    }

    [Fact]
    public void Options_may_be_left_out()
    {
        ParseResult parsed = Parse("");

        Assert.Empty(parsed.Errors);
        Assert.Null(parsed.GetValue(_format));
        Assert.Null(parsed.GetValue(_overlap));
        Assert.Null(parsed.GetValue(_tolerance));
        Assert.Empty(parsed.GetValue(_set)!);
    }

    [Theory]
    [InlineData("--overlap -1", "--overlap is -1.", "cannot be negative")]
    [InlineData("--overlap=-1", "--overlap is -1.", "cannot be negative")]
    [InlineData("--overlap NaN", "--overlap is 'NaN', which is not a finite number.", "decimal point")]
    [InlineData("--overlap Infinity", "'Infinity'", "decimal point")]
    [InlineData("--overlap -Infinity", "'-Infinity'", "decimal point")]
    [InlineData("--overlap 1e999", "'1e999'", "decimal point")]
    [InlineData("--overlap 4,5", "'4,5'", "decimal point")]
    [InlineData("--overlap four", "'four'", "decimal point")]
    [InlineData("--format 90", "'90', which is not a width and a height", "90x44")]
    [InlineData("--format 90X44", "'90X44'", "lower-case x")]
    [InlineData("--format 90x", "'90x'", "lower-case x")]
    [InlineData("--format 90x44x3", "'90x44x3'", "lower-case x")]
    [InlineData("--format 90x0", "--format is 0.", "greater than 0")]
    [InlineData("--format -90x44", "--format is -90.", "greater than 0")]
    [InlineData("--format NaNxNaN", "'NaN'", "finite")]
    [InlineData("--tolerance 1,2,3", "'1,2,3'", "one comma")]
    [InlineData("--tolerance 1,-2", "--tolerance is -2.", "cannot be negative")]
    [InlineData("--set a", "'a' is not of the form name=value", "equals sign")]
    [InlineData("--set =a", "'=a' is not of the form name=value", "equals sign")]
    [InlineData("--set a=1 --set a=2", "'a' is given twice", "once")]
    public void Other_values_are_refused_with_a_remedy(string line, string what, string remedy)
    {
        InputException error = Assert.Throws<InputException>(() => Parse(line));

        Assert.Contains(what, error.Message, StringComparison.Ordinal);
        Assert.Contains(remedy, error.Message + error.Remedy, StringComparison.Ordinal);
    }

    private ParseResult Parse(string line)
    {
        var command = new Command("test") { _format, _overlap, _tolerance, _set };
        ParseResult parsed = CommandLineParser.Parse(command, line.Split(' ', StringSplitOptions.RemoveEmptyEntries), CommandLine.Strict);
        return UsageErrors.Find(parsed) is { } error ? throw error : parsed;
    }
}
