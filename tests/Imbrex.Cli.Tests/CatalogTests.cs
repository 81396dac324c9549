using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

public class CatalogTests
{
    [Fact]
    public async Task Parts_of_plugins_and_scripts_are_listed_and_what_is_left_out_is_named()
    {
        Run run = await Imbrex.RunAsync([("IMBREX_PLUGINS", Imbrex.FixturePlugins), Imbrex.FixturesTrusted], "catalog", "--scripts", "scripts/layouts");

        Assert.Equal(3, run.ExitCode);
        foreach (string word in new[] { "pair", "pinned", "listing", "lantern", "uneven-detents", "brickwork", "a number from 26 to 40 mm; 34 mm unless given" })
            Assert.Contains(word, run.Output, StringComparison.Ordinal);
        Assert.Contains("warning: Fixtures.FuturePlugin is left out. It was built for version 9.0.0", run.Error, StringComparison.Ordinal);
        Assert.Contains("warning: Fixtures.EmptyPlugin is left out.", run.Error, StringComparison.Ordinal);
        Assert.Contains("the spring is broken", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_garbage_plugin_is_named_and_the_rest_is_listed()
    {
        using var folder = new TemporaryFolder();
        folder.Write("garbage/garbage.dll", "no assembly");

        Run run = await Imbrex.RunAsync([("IMBREX_PLUGINS", folder.Path + Path.PathSeparator + Imbrex.FixturePlugins), Imbrex.FixturesTrusted], "catalog");

        Assert.Equal(3, run.ExitCode);
        Assert.Contains("warning: garbage is left out. garbage.dll is not a readable .NET assembly.", run.Error, StringComparison.Ordinal);
        Assert.Contains("pair", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Machines_get_names_units_and_ranges()
    {
        Run run = await Imbrex.RunAsync("catalog", "--scripts", "scripts/layouts", "--json");
        JsonElement[] parts = [.. run.Json.GetProperty("data").EnumerateArray()];
        JsonElement lantern = parts.Single(part => part.GetProperty("name").GetString() == "lantern");
        JsonElement side = lantern.GetProperty("parameters")[0];

        Assert.Equal(("layout", "script", "lantern.csx"),
            (lantern.GetProperty("kind").GetString(), lantern.GetProperty("origin").GetString(), lantern.GetProperty("from").GetString()));
        Assert.Equal(("side", "mm", "34", 26, 40), (side.GetProperty("name").GetString(), side.GetProperty("unit").GetString(),
            side.GetProperty("default").GetString(), side.GetProperty("minimum").GetDouble(), side.GetProperty("maximum").GetDouble()));
        Assert.All(Directory.GetFiles(Path.Combine(Imbrex.Repository, "scripts", "layouts")), path =>
            Assert.Contains(parts, part => part.GetProperty("from").GetString() == Path.GetFileName(path)));
    }

    [Fact]
    public async Task A_broken_script_is_left_out_with_its_line()
    {
        using var folder = new TemporaryFolder();
        folder.Write("broken.csx", "Name(\"broken\");\nTile(0, 0;\n");
        folder.Write("sound.csx", "Name(\"sound\");\nTile(0, 0);\n");

        Run run = await Imbrex.RunAsync("catalog", "--scripts", folder.Path);

        Assert.Equal(3, run.ExitCode);
        Assert.Contains("broken.csx is left out. The script does not compile: CS1026", run.Error, StringComparison.Ordinal);
        Assert.Contains("broken.csx, line 2, column 10\n     2 | Tile(0, 0;\n       |          ^", run.Error, StringComparison.Ordinal);
        Assert.Contains("sound", run.Output, StringComparison.Ordinal);
    }
}
