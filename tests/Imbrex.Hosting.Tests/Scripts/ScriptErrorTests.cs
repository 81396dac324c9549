using System.Text;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>What a script does wrong is told at its own line.</summary>
public class ScriptErrorTests
{
    [Fact]
    public void A_script_that_does_not_compile_is_shown_with_a_caret()
    {
        InputException error = Assert.Throws<InputException>(() => ScriptBench.Run("Name(\"mine\");\n\tTle(1, 2);\nTile(1);"));

        Assert.StartsWith("The script does not compile: CS0103: The name 'Tle' does not exist in the current context (1 more follow)", error.Message, StringComparison.Ordinal);
        Assert.Equal("work/mine.csx, line 2, column 2\n     2 |  Tle(1, 2);\n       |  ^", error.Where);
    }

    [Fact]
    public void A_script_that_throws_is_shown_at_its_line()
    {
        InputException error = Assert.Throws<InputException>(() => ScriptBench.Run("Name(\"mine\");\nvar zero = 0;\nTile(1 / zero, 2);"));

        Assert.StartsWith("The script failed with DivideByZeroException", error.Message, StringComparison.Ordinal);
        Assert.Equal("work/mine.csx, line 3\n     3 | Tile(1 / zero, 2);", error.Where);
    }

    [Theory]
    [InlineData("", "The script is empty", "work/mine.csx")]
    [InlineData("// later\n", "The script is empty", "work/mine.csx")]
    [InlineData("Name(\"mine\");", "never places a tile", "work/mine.csx")]
    [InlineData("Tile(0, 0);", "never says its name", "work/mine.csx")]
    [InlineData("Name(\"Mine!\");", "not a name for a layout", "line 1")]
    [InlineData("Name(\"mine\");\nTile(double.NaN, 0);", "no finite position", "line 2")]
    [InlineData("Name(\"mine\");\nTile(0, 1 / 0.0);", "no finite position", "line 2")]
    [InlineData("Name(\"mine\");\nwhile (true)\n  Tile(0, 0);", "more than 10000 tiles", "line 3")]
    [InlineData("Name(\"mine\");\nTile(0, 0, (Turn)45);", "the turn 45", "line 2")]
    [InlineData("Name(\"mine\");\nParameter(\"Side\", 1);\nTile(0, 0);", "'Side' is not a kebab-case name", "line 2")]
    public void What_the_sdk_refuses_is_told_at_the_scripts_line(string text, string what, string where)
    {
        InputException error = Assert.Throws<InputException>(() => ScriptBench.Run(text));

        Assert.Contains(what, error.Message, StringComparison.Ordinal);
        Assert.Contains(where, error.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void A_refusal_stays_a_refusal()
    {
        RefusalException error = Assert.Throws<RefusalException>(() => ScriptBench.Run(
            "Name(\"mine\");\nthrow new RefusalException(\"too small\", null, \"Ask for less.\");"));

        Assert.Equal(("too small", "Ask for less."), (error.Message, error.Remedy));
        Assert.Contains("line 2", error.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void An_unknown_parameter_gets_the_nearest_one_as_a_suggestion()
    {
        InputException error = Assert.Throws<InputException>(() => ScriptBench.Run(
            "Name(\"mine\");\nvar side = Parameter(\"side\", 3);\nTile(side, 0);", ("sied", "4")));

        Assert.Equal("Did you mean 'side'?", error.Remedy);
    }

    [Fact]
    public void A_parameter_out_of_range_is_refused()
    {
        InputException error = Assert.Throws<InputException>(() => ScriptBench.Run(
            "Name(\"mine\");\nTile(Parameter(\"side\", 30, Unit.Millimetre, 26, 40), 0);", ("side", "50")));

        Assert.Equal("Give a number from 26 to 40 mm.", error.Remedy);
    }

    [Theory]
    [InlineData("#r \"System.Net.Http\"", "#r")]
    [InlineData("#load \"other.csx\"", "#load")]
    public void Other_files_are_out_of_reach(string directive, string word)
    {
        InputException error = Assert.Throws<InputException>(() => ScriptBench.Run($"// first\n{directive}\nName(\"mine\");\nTile(0, 0);"));

        Assert.Equal($"A script may not use {word}.", error.Message);
        Assert.Contains("line 2, column 1", error.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void Processes_are_in_sight_of_a_batch_and_not_of_a_layout()
    {
        Assert.Throws<InputException>(() => ScriptBench.Compile("System.Diagnostics.Process.Start(\"x\");"));
        Assert.NotEmpty(ScriptBench.Compile("System.Diagnostics.Process.GetCurrentProcess();", ScriptKind.Batch).Assembly);
    }

    // U+202E right-to-left override, U+200B zero-width space, U+0000 and U+001B controls, U+2028 line separator, U+00AD soft hyphen.
    [Theory]
    [InlineData('\u202E')]
    [InlineData('\u2066')]
    [InlineData('\u200B')]
    [InlineData('\u0000')]
    [InlineData('\u001B')]
    [InlineData('\u2028')]
    [InlineData('\u00AD')]
    public void Characters_that_hide_what_a_script_does_are_refused(char hidden)
    {
        byte[] bytes = Encoding.UTF8.GetBytes($"Name(\"mine\");\n// a{hidden}b");

        InputException error = Assert.Throws<InputException>(() => ScriptSource.Parse(ScriptBench.Name, bytes));

        Assert.Contains($"U+{(int)hidden:X4}", error.Message, StringComparison.Ordinal);
        Assert.StartsWith("work/mine.csx, line 2, column 5", error.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void A_script_is_short_utf8_text()
    {
        using var folder = new TemporaryFolder();
        string longest = folder.Write("longest.csx", new string(' ', ScriptSource.MaximumBytes));
        string longer = folder.Write("longer.csx", new string(' ', ScriptSource.MaximumBytes + 1));

        Assert.Equal(ScriptSource.MaximumBytes, ScriptSource.Read(longest).Text.Length);
        Assert.Contains("65537 bytes", Assert.Throws<InputException>(() => ScriptSource.Read(longer)).Message, StringComparison.Ordinal);
        Assert.Throws<InputException>(() => ScriptSource.Parse(ScriptBench.Name, [0xFF, 0xFE, 0x00]));
        Assert.Throws<InputException>(() => ScriptSource.Read(Path.Combine(folder.Path, "absent.csx")));
        Assert.Throws<InputException>(() => ScriptSource.Read(folder.Path));
        Assert.Equal("Tile", ScriptSource.Parse(ScriptBench.Name, [0xEF, 0xBB, 0xBF, .. "Tile"u8]).Text);
    }
}
