using System.Diagnostics;
using System.Text.Json;
using System.Text.RegularExpressions;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>Packages from the command line: an author's side, a user's side, and what is refused.</summary>
public sealed class PluginTests : IDisposable
{
    private const string Layout = "// Two tiles.\nName(\"two-tiles\");\nTile(-13, 0);\nTile(13, 0);\n";

    private readonly TemporaryFolder _folder = new();

    private (string, string)[] Surroundings =>
    [
        ("IMBREX_PACKAGES", Path.Combine(_folder.Path, "packages")), ("IMBREX_KEYS", Path.Combine(_folder.Path, "keys")), ("IMBREX_TRUST", Path.Combine(_folder.Path, "trust.json")),
    ];

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task A_layout_is_packed_signed_added_without_a_question_used_and_removed()
    {
        string source = Source("two", "layout", Layout), package = Path.Combine(_folder.Path, "two.1.0.0.nupkg");

        Run packed = await DoneAsync("pack", source, "--out", _folder.Path);
        Assert.Contains($"two 1.0.0: {package}", packed.Output, StringComparison.Ordinal);
        Assert.Matches("signed   ([0-9a-z]{5}-){4}[0-9a-z]{5}\n", packed.Output);
        Assert.Contains("Your key has been made", packed.Error, StringComparison.Ordinal);
        byte[] bytes = await File.ReadAllBytesAsync(package, TestContext.Current.CancellationToken);
        Assert.Equal("", (await DoneAsync("pack", source, "--out", _folder.Path, "--force")).Error);
        Assert.Equal(bytes, await File.ReadAllBytesAsync(package, TestContext.Current.CancellationToken));

        Assert.Equal("two 1.0.0 is installed.\n  layout   two-tiles\n", (await DoneAsync("add", package)).Output);
        Assert.Contains("Jane Maker", (await DoneAsync("list")).Output, StringComparison.Ordinal);
        Assert.Contains(Path.Combine(_folder.Path, "packages", "two", "drawing.svg"), (await DoneAsync("info", "two")).Output, StringComparison.Ordinal);
        Run check = await Imbrex.RunAsync(Surroundings, "check", "two-tiles", "--sensor", "36x24/6000x4000", "--format", "58x20", "--tolerance", "0");
        Assert.True(check.ExitCode == 0, check.Output + check.Error);
        Run catalog = await Imbrex.RunAsync(Surroundings, "catalog", "--json");
        Assert.Contains(catalog.Json.GetProperty("data").EnumerateArray(),
            part => part.GetProperty("name").GetString() == "two-tiles" && part.GetProperty("origin").GetString() == "package");

        Assert.Equal("two 1.0.0 is removed.\n", (await DoneAsync("remove", "two")).Output);
        Assert.Equal(1, (await RunAsync("remove", "two")).ExitCode);
        Assert.Equal("No package is installed.\n", (await DoneAsync("list")).Output);
    }

    [Fact]
    public async Task An_adapter_of_a_package_builds_a_kits_back_by_its_name()
    {
        string script = await File.ReadAllTextAsync(Path.Combine(Imbrex.Repository, "scripts", "adapters", "disc-on-rail.csx"), TestContext.Current.CancellationToken);
        string kit = await File.ReadAllTextAsync(Path.Combine(Imbrex.Repository, "scripts", "kits", "disc-on-rail.json"), TestContext.Current.CancellationToken);
        string named = _folder.Write("kit.json", Regex.Replace(kit, "\"adapter\": \"[^\"]*\"", "\"adapter\": \"disc-on-rail\""));
        string[] check = ["check", "fewest-frames", "--kit", named, "--format", "80x36"];
        Run unknown = await Imbrex.RunAsync(Surroundings, check);
        Assert.Contains("There is no adapter 'disc-on-rail'", unknown.Error, StringComparison.Ordinal);

        await DoneAsync("add", await PackAsync(Source("odd-backs", "adapter", script, "disc-on-rail"), "--unsigned"));

        Run known = await Imbrex.RunAsync(Surroundings, check);
        Assert.True(known.ExitCode == 0, known.Output + known.Error);
    }

    [Fact]
    public async Task A_batch_package_needs_a_yes_and_then_runs_by_name()
    {
        string package = await PackAsync(Source("say", "batch", "Log(\"said\");", "saying"));

        Run refused = await RunAsync("add", package);
        Assert.Equal((2, ""), (refused.ExitCode, refused.Output));
        Assert.Contains("say 1.0.0 asks to run with your own rights, and nobody is there to ask. SHA-256 ", refused.Error, StringComparison.Ordinal);
        Assert.Matches("It is by Jane Maker and signed with ([0-9a-z]{5}-){4}[0-9a-z]{5}. If you trust that, say yes with --trust", refused.Error);
        Assert.False(File.Exists(Path.Combine(_folder.Path, "packages", "lock.json")));

        await DoneAsync("add", package, "--trust");
        string output = Path.Combine(_folder.Path, "out");
        Run run = await Imbrex.RunAsync(Surroundings, "run", "saying", "--in", _folder.Path, "--out", output);
        Assert.Equal((0, "said\n"), (run.ExitCode, run.Error));

        await DoneAsync("trust", "--forget", "say");
        Run forgotten = await Imbrex.RunAsync(Surroundings, "run", "saying", "--in", _folder.Path, "--out", output);
        Assert.Equal(2, forgotten.ExitCode);
        Assert.Contains("is no longer trusted", forgotten.Error, StringComparison.Ordinal);

        await File.AppendAllTextAsync(Path.Combine(_folder.Path, "packages", "say", "saying.csx"), "//", TestContext.Current.CancellationToken);
        await DoneAsync("trust", package);
        Run changed = await Imbrex.RunAsync(Surroundings, "run", "saying", "--in", _folder.Path, "--out", output);
        Assert.Equal(2, changed.ExitCode);
        Assert.Contains("has been changed since it was installed", changed.Error, StringComparison.Ordinal);
        Assert.Equal(3, (await RunAsync("list")).ExitCode);
        Assert.Equal("say 1.0.0 was damaged and is whole again.\n", (await DoneAsync("update")).Output);
        Assert.Equal($"say 1.0.0 is the newest in {package}.\n", (await DoneAsync("update")).Output);
    }

    [Fact]
    public async Task A_fixture_plugin_is_packed_added_and_loaded_and_can_be_trusted_by_fingerprint()
    {
        string source = Path.Combine(_folder.Path, "good");
        _folder.Write("good/imbrex-package.json", Manifest("good-plugin", "plugin"));
        foreach (string path in Directory.EnumerateFiles(Path.Combine(Imbrex.FixturePlugins, "Fixtures.GoodPlugin")))
            File.Copy(path, Path.Combine(source, Path.GetFileName(path)));
        string package = await PackAsync(source);
        string key = (await RunAsync("info", package, "--json")).Json.GetProperty("data").GetProperty("key").GetString()!;

        Assert.Equal(2, (await RunAsync("add", package)).ExitCode);
        await DoneAsync("trust", key.ToUpperInvariant(), "--as", "Jane");
        await DoneAsync("add", package);

        Run catalog = await Imbrex.RunAsync(Surroundings, "catalog");
        Assert.Equal((0, ""), (catalog.ExitCode, catalog.Error));
        Assert.Contains("pinned", catalog.Output, StringComparison.Ordinal);
        Assert.Contains($"Jane", (await DoneAsync("trust", "--list")).Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_loose_plugin_is_left_out_until_its_folder_is_trusted_and_again_when_it_changes()
    {
        string source = Path.Combine(_folder.Path, "loose", "Fixtures.GoodPlugin");
        Directory.CreateDirectory(source);
        foreach (string path in Directory.EnumerateFiles(Path.Combine(Imbrex.FixturePlugins, "Fixtures.GoodPlugin")))
            File.Copy(path, Path.Combine(source, Path.GetFileName(path)));
        Task<Run> CatalogAsync() => Imbrex.RunAsync([.. Surroundings, ("IMBREX_PLUGINS", Path.Combine(_folder.Path, "loose"))], "catalog");

        Run unknown = await CatalogAsync();
        Assert.Equal(3, unknown.ExitCode);
        Assert.Contains("Fixtures.GoodPlugin is left out. Fixtures.GoodPlugin is not trusted yet, and nobody is there to ask. SHA-256 ", unknown.Error, StringComparison.Ordinal);
        Assert.Contains($"imbrex plugin trust {source}", unknown.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("pinned", unknown.Output, StringComparison.Ordinal);

        await DoneAsync("trust", source);
        Run trusted = await CatalogAsync();
        Assert.Equal((0, ""), (trusted.ExitCode, trusted.Error));
        Assert.Contains("pinned", trusted.Output, StringComparison.Ordinal);

        File.WriteAllText(Path.Combine(source, "more.txt"), "");
        Assert.Contains("has changed since you trusted it", (await CatalogAsync()).Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_feed_is_packed_into_chosen_from_and_updated_from()
    {
        string feed = Path.Combine(_folder.Path, "feed");
        await DoneAsync("pack", Source("two", "layout", Layout), "--feed", feed);
        await DoneAsync("pack", Source("three", "layout", Layout.Replace("two", "three", StringComparison.Ordinal)), "--feed", feed);

        Run several = await RunAsync("add", feed);
        Assert.Equal(1, several.ExitCode);
        Assert.Contains("where NAME is three, two", several.Error, StringComparison.Ordinal);
        Assert.Contains("three", (await DoneAsync("list", "--feed", feed)).Output, StringComparison.Ordinal);
        await DoneAsync("add", "two", "--feed", feed);
        Assert.Equal($"two 1.0.0 is the newest in {feed}.\n", (await DoneAsync("update")).Output);

        await DoneAsync("pack", Source("two", "layout", Layout + "Tile(0, 0);\n", version: "1.1.0"), "--feed", feed);
        Run updated = await DoneAsync("update", "two");
        Assert.StartsWith("two 1.0.0 is now 1.1.0.\n", updated.Output, StringComparison.Ordinal);
        Assert.Contains("  changed  two.csx\n", updated.Output, StringComparison.Ordinal);
        Run older = await RunAsync("add", "two@1.0.0", "--feed", feed);
        Assert.Equal(2, older.ExitCode);
        Assert.Contains("two 1.1.0 is installed, and 1.0.0 is older.", older.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Another_key_is_refused_in_words_and_for_machines()
    {
        string source = Source("two", "layout", Layout);
        await DoneAsync("add", await PackAsync(source));
        string other = await PackAsync(Source("two", "layout", Layout, version: "2.0.0"), "--unsigned");

        Run refused = await RunAsync("add", other, "--json");

        Assert.Equal(2, refused.ExitCode);
        JsonElement finding = refused.Json.GetProperty("findings")[0];
        Assert.Equal(("plugin add", "refused"), (refused.Json.GetProperty("verb").GetString(), finding.GetProperty("code").GetString()));
        Assert.Contains("This one is not signed", finding.GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1, "There is no file missing.nupkg", "add", "missing.nupkg")]
    [InlineData(1, "say where it is: imbrex plugin add two --feed", "add", "two")]
    [InlineData(1, "There is no folder nowhere", "add", "two", "--feed", "nowhere")]
    [InlineData(2, "is not encrypted", "add", "two", "--feed", "http://example.org/layouts")]
    [InlineData(1, "is no name of a package", "add", "../two", "--feed", ".")]
    [InlineData(1, "There is no package 'two'", "info", "two")]
    [InlineData(1, "There is no package 'two'", "update", "two")]
    [InlineData(1, "Give one of WHAT, --list and --forget", "trust")]
    [InlineData(1, "is neither a key's fingerprint nor a file nor a folder", "trust", "abc")]
    [InlineData(1, "Nothing is trusted under 'abc'", "trust", "--forget", "abc")]
    [InlineData(1, "There is no plugin in", "trust", "scripts")]
    [InlineData(1, "has no imbrex-package.json", "pack", "scripts")]
    [InlineData(1, "There is no folder nowhere", "pack", "nowhere")]
    [InlineData(1, "There is no verb 'lst'", "lst")]
    [InlineData(1, "No verb is given", "--json")]
    public async Task What_makes_no_sense_is_told_in_one_error(int code, string reason, params string[] words)
    {
        Run run = await RunAsync(words);

        Assert.Equal(code, run.ExitCode);
        Assert.Contains(reason, run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Ctrl_C_at_a_slow_feed_ends_at_once_and_leaves_nothing()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "There are no such signals on Windows.");
        using var silent = new System.Net.Sockets.TcpListener(System.Net.IPAddress.Loopback, 0);
        silent.Start();
        using Process process = Imbrex.Start(Surroundings, ["plugin", "add", "two", "--feed", $"http://127.0.0.1:{((System.Net.IPEndPoint)silent.LocalEndpoint).Port}/"]);
        Task<System.Net.Sockets.TcpClient> heard = silent.AcceptTcpClientAsync(TestContext.Current.CancellationToken).AsTask();
        Assert.Same(heard, await Task.WhenAny(heard, process.WaitForExitAsync(TestContext.Current.CancellationToken)));
        using System.Net.Sockets.TcpClient held = await heard;
        using Process kill = Process.Start("kill", ["-s", "INT", process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);

        Assert.Equal(130, process.ExitCode);
        Assert.False(Directory.Exists(Path.Combine(_folder.Path, "packages")));
    }

    [Theory]
    [InlineData("n\n", 2, "is not trusted and was left alone")]
    [InlineData("\u0003", 130, "Cancelled")]
    [InlineData("y\n", 0, "say 1.0.0 is installed.")]
    public async Task At_a_terminal_the_question_is_asked_and_the_answer_heard(string answer, int code, string reason)
    {
        string package = await PackAsync(Source("say", "batch", "Log(\"said\");"));
        // util-linux gives the program a terminal of its own.
        var start = new ProcessStartInfo("script", ["-qec", $"dotnet {Imbrex.Program} plugin add {package}", "/dev/null"]) { RedirectStandardInput = true, RedirectStandardOutput = true };
        foreach ((string name, string value) in Surroundings)
            start.Environment[name] = value;
        using Process process = StartOrSkip(start);
        var heard = new System.Text.StringBuilder();
        char[] letters = new char[256];
        for (int read; (read = await process.StandardOutput.ReadAsync(letters, TestContext.Current.CancellationToken)) > 0;)
        {
            heard.Append(letters, 0, read);
            if (!heard.ToString().EndsWith("[y/N] ", StringComparison.Ordinal))
                continue;
            await process.StandardInput.WriteAsync(answer);
            await process.StandardInput.FlushAsync(TestContext.Current.CancellationToken);
        }
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);

        Assert.Equal(code, process.ExitCode);
        Assert.Contains(reason, heard.ToString(), StringComparison.Ordinal);
        Assert.Matches("signed +([0-9a-z]{5}-){4}[0-9a-z]{5}", heard.ToString());
        Assert.Contains("it can read, change and remove your files", heard.ToString(), StringComparison.Ordinal);
        Assert.Equal(code == 0, Directory.Exists(Path.Combine(_folder.Path, "packages", "say")));
    }

    private static Process StartOrSkip(ProcessStartInfo start)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "The tool that gives a terminal is used as on Linux.");
        try
        {
            return Process.Start(start)!;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            Assert.Skip("There is no script (util-linux) on this machine.");
            throw;
        }
    }

    private static string Manifest(string name, string kind, string version = "1.0.0") =>
        $$"""{ "schema": "imbrex/package/1", "name": "{{name}}", "version": "{{version}}", "kind": "{{kind}}", "author": "Jane Maker", "licence": "MIT", "summary": "For a test" }""";

    private string Source(string name, string kind, string script, string? file = null, string version = "1.0.0")
    {
        string folder = $"{name}-{version}-{Guid.NewGuid():n}";
        _folder.Write($"{folder}/{file ?? name}.csx", script);
        _folder.Write($"{folder}/imbrex-package.json", Manifest(name, kind, version));
        return Path.Combine(_folder.Path, folder);
    }

    private async Task<string> PackAsync(string source, params string[] more)
    {
        string package = Path.Combine(_folder.Path, Guid.NewGuid().ToString("n") + ".nupkg");
        await DoneAsync(["pack", source, "--out", package, .. more]);
        return package;
    }

    private Task<Run> RunAsync(params string[] words) => Imbrex.RunAsync(Surroundings, ["plugin", .. words]);

    private async Task<Run> DoneAsync(params string[] words)
    {
        Run run = await RunAsync(words);
        Assert.True(run.ExitCode == 0, $"imbrex plugin {string.Join(' ', words)}\n{run.Output}{run.Error}");
        return run;
    }
}
