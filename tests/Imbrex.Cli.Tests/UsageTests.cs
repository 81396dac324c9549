using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

public class UsageTests
{
    [Fact]
    public async Task Version_is_one_line()
    {
        Assert.Equal(new Run(0, "0.1.0\n", ""), await Imbrex.RunAsync("--version"));
    }

    [Fact]
    public async Task Help_names_every_verb_and_every_verb_has_help_with_an_example()
    {
        Run help = await Imbrex.RunAsync("--help");

        Assert.Equal(0, help.ExitCode);
        Assert.Contains("catalog", Commands(help.Output));
        foreach (string verb in Commands(help.Output))
        {
            Run own = await Imbrex.RunAsync(verb, "--help");
            Assert.Equal((0, ""), (own.ExitCode, own.Error));
            Assert.Contains($"Examples:\n  imbrex {verb}", own.Output, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Every_verb_about_packages_has_help_with_an_example()
    {
        string[] verbs = Commands((await Imbrex.RunAsync("plugin", "--help")).Output);

        Assert.Contains("trust", verbs);
        foreach (string verb in verbs)
            Assert.Contains($"Examples:\n  imbrex plugin {verb}", (await Imbrex.RunAsync("plugin", verb, "--help")).Output, StringComparison.Ordinal);
    }

    private static string[] Commands(string help) =>
    [
        .. help.Split("Commands:")[1].Split(["Exit codes:", "Examples:"], StringSplitOptions.None)[0].Split('\n')
            .Where(line => line.StartsWith("  ", StringComparison.Ordinal) && line[2] != ' ').Select(line => line.Trim().Split(' ')[0]),
    ];

    [Theory]
    [InlineData("", "No verb is given.", "--help")]
    [InlineData("catlog", "There is no verb 'catlog'.", "Did you mean 'catalog'?")]
    [InlineData("xyzzy", "There is no verb 'xyzzy'.", "Run imbrex --help")]
    [InlineData("catalog --scirpts x", "There is no option '--scirpts'.", "Did you mean '--scripts'?")]
    [InlineData("catalog --scripts", "--scripts needs a value (FOLDER).", "imbrex catalog --help")]
    [InlineData("catalog --scripts a --scripts b", "--scripts is given more than once.", "once")]
    [InlineData("catalog extra", "'extra' is one argument too many.", "imbrex catalog --help")]
    [InlineData("run", "SCRIPT is missing.", "imbrex run --help")]
    [InlineData("run x.csx", "--out is missing.", "imbrex run --help")]
    [InlineData("run x.csx --out /tmp --in /no/such/folder", "There is no folder /no/such/folder.", "Name the folder")]
    [InlineData("run x.csx novalue --out x", "'novalue' is not of the form name=value.", "equals sign")]
    [InlineData("run x.csx a=1 a=2 --out x", "'a' is given twice.", "once")]
    [InlineData("schema paln", "There is no kind of file 'paln'.", "Did you mean 'plan'?")]
    [InlineData("catalog --scripts /no/such/folder", "There is no folder /no/such/folder.", ".csx")]
    [InlineData("catalog @file", "'@file' is one argument too many.", "--help")]
    public async Task What_is_wrong_with_a_command_line_is_said_on_stderr(string line, string what, string remedy)
    {
        Run run = await Imbrex.RunAsync(line.Split(' ', StringSplitOptions.RemoveEmptyEntries));

        Assert.Equal((1, ""), (run.ExitCode, run.Output));
        Assert.StartsWith($"error: {what}\n", run.Error, StringComparison.Ordinal);
        Assert.Contains("\n  do: ", run.Error, StringComparison.Ordinal);
        Assert.Contains(remedy, run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_format_smaller_than_a_tile_is_judged_by_the_stops_of_a_back_too()
    {
        Run run = await Imbrex.RunAsync("check", "regular-grid", "--kit", Path.Combine(Imbrex.Repository, "scripts/kits/quarry-rail.json"), "--format", "1e-9x42");

        Assert.Equal((2, ""), (run.ExitCode, run.Error));
    }

    [Fact]
    public async Task A_failure_is_told_to_machines_too()
    {
        Run run = await Imbrex.RunAsync("schema", "paln", "--json");
        JsonElement finding = run.Json.GetProperty("findings")[0];

        Assert.Equal(("imbrex/result/1", "schema", 1, "bad-input"), (run.Json.GetProperty("schema").GetString(), run.Json.GetProperty("verb").GetString(),
            run.Json.GetProperty("exitCode").GetInt32(), run.Json.GetProperty("verdict").GetString()));
        Assert.Equal(("error", "Did you mean 'plan'?"), (finding.GetProperty("severity").GetString(), finding.GetProperty("remedy").GetString()));
        Assert.Equal(1, run.ExitCode);
    }

    [Fact]
    public async Task A_stack_trace_is_shown_on_request_only()
    {
        Assert.Contains("   at Imbrex.Cli", (await Imbrex.RunAsync("schema", "paln", "--debug")).Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task There_is_no_colour_in_a_pipe()
    {
        Run run = await Imbrex.RunAsync("catalog", "--scripts", "scripts/layouts");

        Assert.DoesNotContain("\e", run.Output + run.Error, StringComparison.Ordinal);
    }
}
