using System.Text.Json;
using System.Xml.Linq;
using Xunit;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>What <c>imbrex new</c> writes works as it is: its test passes, and every command that is named next does what it says.</summary>
public sealed class NewTests : IDisposable
{
    private readonly Person _author = new();

    public void Dispose() => _author.Dispose();

    [Theory]
    [InlineData("layout", ".editor/Words.cs imbrex-package.json two-arms.csproj two-arms.csx")]
    [InlineData("adapter", ".editor/Words.cs imbrex-package.json kit.json two-arms.csproj two-arms.csx")]
    [InlineData("batch", ".editor/Words.cs imbrex-package.json two-arms.csproj two-arms.csx")]
    public async Task A_script_is_written_and_every_command_that_comes_next_works(string kind, string files)
    {
        Run begun = await _author.DoAsync($"imbrex new {kind} two-arms --author \"A maker\"");

        Assert.Equal(files, FilesBelow("two-arms"));
        Assert.Equal(Manifest(kind, "A maker"), ManifestOf("two-arms/imbrex-package.json"));
        string[] next = Next(begun);
        Assert.NotEmpty(next);
        foreach (string line in next)
            await _author.DoAsync(line);
        await _author.DoAsync("dotnet build two-arms -warnaserror");
        if (kind != "batch")
            Assert.Contains("two-arms", (await _author.DoAsync("imbrex catalog --scripts two-arms")).Output, StringComparison.Ordinal);
    }

    [Theory]
    [Trait("Speed", "slow")]
    [InlineData("layout two-arms --compiled", "TwoArmsLayout")]
    [InlineData("adapter two-arms --compiled", "TwoArmsBack")]
    [InlineData("export two-arms", "TwoArmsExport")]
    public async Task A_project_is_written_that_builds_passes_its_test_and_every_command_that_comes_next_works(string what, string type)
    {
        Run begun = await _author.DoAsync($"imbrex new {what} --out \"my plugins/arms\"");

        Assert.Equal($".gitignore Directory.Build.props global.json nuget.config plugin/{type}.cs plugin/imbrex-package.json plugin/two-arms.csproj tests/TwoArmsTests.cs tests/two-arms.Tests.csproj two-arms.slnx", FilesBelow("my plugins/arms"));
        Assert.Equal(Manifest("plugin", "Anonymous"), ManifestOf("my plugins/arms/plugin/imbrex-package.json"));
        var said = new List<string>();
        foreach (string line in Next(begun))
            said.Add((await _author.DoAsync(line)).Output);
        Assert.Contains("succeeded: 2", string.Concat(said), StringComparison.Ordinal);
        Assert.Contains("two-arms", said[^1], StringComparison.Ordinal);
        Assert.DoesNotContain("Imbrex.Sdk.dll", FilesBelow("my plugins/arms/out"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nothing_that_is_there_is_replaced()
    {
        await _author.DoAsync("imbrex new layout two-arms");
        string script = Path.Combine(_author.Desk, "two-arms", "two-arms.csx");
        await File.WriteAllTextAsync(script, "// mine", TestContext.Current.CancellationToken);

        Run again = await _author.TypeAsync("imbrex new batch two-arms");
        Run elsewhere = await _author.TypeAsync("imbrex new batch other --out two-arms/two-arms.csx");

        Assert.Equal((1, 1), (again.ExitCode, elsewhere.ExitCode));
        Assert.StartsWith("error: two-arms is there already.\n", again.Error, StringComparison.Ordinal);
        Assert.Equal("// mine", await File.ReadAllTextAsync(script, TestContext.Current.CancellationToken));
    }

    // A namespace Tile or Math would hide the type of that name from the project's own code.
    [Theory]
    [InlineData("tile", "Tile")]
    [InlineData("math", "Math")]
    public void A_projects_namespace_is_no_types_name(string name, string type)
    {
        foreach (string kind in new[] { "layout", "adapter", "export" })
        {
            string[] code = [.. Templates.NewPart.Of(kind, name, isCompiled: true).Files().Where(file => file.Key.EndsWith(".cs", StringComparison.Ordinal)).Select(file => file.Value)];
            Assert.Equal(2, code.Length);
            Assert.All(code, text => Assert.DoesNotContain($"namespace {type};", text, StringComparison.Ordinal));
            Assert.All(code, text => Assert.DoesNotContain($"namespace {type}.", text, StringComparison.Ordinal));
        }
    }

    [Theory]
    [InlineData("layout Two_Arms", "'Two_Arms' is not a name.", "Write it as 'two-arms'.")]
    [InlineData("layout 2arms", "'2arms' is not a name.", "a letter first")]
    [InlineData("layout ../arms", "'../arms' is not a name.", "Use lower-case letters")]
    [InlineData("layout con", "'con' is the name of a device on Windows, where no file can be called so.", "Choose another name.")]
    [InlineData("layout arms --author A\u001b[2J", "The author's name is no line of visible characters.", "Give 1 to 100 of them.")]
    [InlineData("layuot arms", "There is nothing called 'layuot' to begin.", "Did you mean 'layout'?")]
    [InlineData("batch arms --compiled", "A batch is a script.", "Leave out --compiled.")]
    [InlineData("layout", "NAME is missing.", "imbrex new --help")]
    public async Task What_is_wrong_is_said(string given, string what, string remedy)
    {
        Run run = await _author.TypeAsync($"imbrex new {given}");

        Assert.Equal(1, run.ExitCode);
        Assert.StartsWith($"error: {what}\n", run.Error, StringComparison.Ordinal);
        Assert.Contains(remedy, run.Error, StringComparison.Ordinal);
        Assert.Empty(Directory.EnumerateFileSystemEntries(_author.Desk));
    }

    [Fact]
    public async Task Machines_are_told_the_files_and_the_commands()
    {
        Run run = await _author.DoAsync("imbrex new layout two-arms --json");

        Assert.Equal(4, run.Json.GetProperty("files").GetArrayLength());
        Assert.Contains(run.Json.GetProperty("data").GetProperty("next").EnumerateArray(), line => line.GetString() == "imbrex catalog --scripts two-arms");
    }

    [Fact]
    public void The_templates_use_the_test_framework_that_the_repository_uses()
    {
        string own = (string)XDocument.Load(Path.Combine(Imbrex.Repository, "Directory.Packages.props")).Descendants("PackageVersion").Single(package => (string?)package.Attribute("Include") == "xunit.v3").Attribute("Version")!;
        string template = File.ReadAllText(Path.Combine(Imbrex.Repository, "host/Imbrex.Cli/Templates/Files/compiled/tests/NAME.Tests.csproj.template"));

        Assert.Contains($"Include=\"xunit.v3\" Version=\"{own}\"", template, StringComparison.Ordinal);
    }

    private static string[] Next(Run begun) => [.. begun.Output.Split("Next:\n")[1].Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)];

    private string FilesBelow(string folder)
    {
        string root = Path.Combine(_author.Desk, folder);
        return string.Join(' ', Directory.EnumerateFiles(root, "*", SearchOption.AllDirectories).Select(path => Path.GetRelativePath(root, path).Replace('\\', '/')).Order(StringComparer.Ordinal));
    }

    private static string Manifest(string kind, string author) => $"imbrex/package/1 two-arms 1.0.0 {kind} MIT {author}";

    private string ManifestOf(string path)
    {
        JsonElement manifest = JsonDocument.Parse(File.ReadAllText(Path.Combine(_author.Desk, path))).RootElement;
        return string.Join(' ', new[] { "schema", "name", "version", "kind", "licence", "author" }.Select(name => manifest.GetProperty(name).GetString()));
    }
}
