using Imbrex.Engine.Documents;
using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Tests.Plugins;
using Imbrex.Hosting.Tests.Scripts;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Hosting.Tests.Packages;

public sealed class InstalledPartsTests : IDisposable
{
    private readonly PackageBench _bench = new();

    public void Dispose() => _bench.Dispose();

    [Fact]
    public void An_installed_layout_is_listed_and_found_by_name_and_the_rest_is_not_run()
    {
        _bench.Install(Layout("wanted"));
        _bench.Install(Layout("broken", "no C#"));

        Assert.Equal("wanted", Load().Layout("wanted").Description.Name);
        Catalogue catalogue = Load();
        CatalogueEntry<Sdk.Layouts.IMosaicLayout> entry = Assert.Single(catalogue.Layouts);
        Assert.Equal(("wanted", OriginKind.Package, "package-wanted"), (entry.Description.Name, entry.Origin.Kind, entry.Origin.Name));
        Assert.Contains("does not compile", Assert.Single(catalogue.Problems, problem => problem.Name == "package-broken").Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void The_lock_is_not_read_for_a_part_that_the_program_brings()
    {
        _bench.Write("packages/lock.json", "damaged");
        var own = new PluginFolder(FixturePlugins.Folder.Path, IsBuiltIn: true);

        Assert.NotNull(Load(own).Layout("pair"));
        Assert.Contains("(1 was left out", Assert.Throws<InputException>(() => Load().Layout("piar")).Remedy, StringComparison.Ordinal);
        Assert.Contains(Load(own).Problems, problem => problem.Name == "packages");
    }

    [Fact]
    public void A_changed_script_is_refused_with_the_remedy()
    {
        _bench.Install(Layout("wanted"));
        File.AppendAllText(Path.Combine(_bench.PackagesFolder, "package-wanted", "wanted.csx"), "\nTile(5, 5);");

        RefusalException error = Assert.Throws<RefusalException>(() => Load().Layout("wanted"));
        Assert.Contains("has been changed since it was installed", error.Message, StringComparison.Ordinal);
        Assert.Contains("Install it again: imbrex plugin add here", Assert.Single(Load().Problems).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_layout_that_calls_itself_otherwise_than_its_package_does_is_refused()
    {
        _bench.Install(_bench.Make(null, PackageBench.Manifest(), ("famous.csx", "Name(\"mine\");\nTile(0, 0);")).Package);

        Assert.Contains("calls itself 'mine'", Assert.Throws<RefusalException>(() => Load().Layout("famous")).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void An_unknown_name_is_told_the_nearest_installed_one()
    {
        _bench.Install(Layout("wanted"));

        Assert.Equal("Did you mean 'wanted'?", Assert.Throws<InputException>(() => Load().Layout("wantde")).Remedy);
    }

    [Fact]
    public void An_installed_plugin_loads_until_it_is_changed_or_its_key_forgotten()
    {
        InstallPlugin();
        Assert.NotNull(Load().Layout("pair"));

        _bench.Trust.Forget("good-plugin");
        Assert.Contains("no longer trusted", Assert.Single(Load().Problems).Reason, StringComparison.Ordinal);
        InstallPlugin();
        Assert.NotNull(Load().Layout("pair"));

        File.AppendAllText(Path.Combine(_bench.PackagesFolder, "good-plugin", "Fixtures.GoodPlugin.deps.json"), " ");
        Assert.Contains("has been changed since it was installed", Assert.Single(Load().Problems).Reason, StringComparison.Ordinal);
        InstallPlugin();
        File.Delete(Path.Combine(_bench.PackagesFolder, "good-plugin", "Fixtures.GoodPlugin.dll"));
        Assert.Contains("Fixtures.GoodPlugin.dll is missing. Install it again", Assert.Single(Load().Problems).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_loose_plugin_is_asked_about_once_and_again_when_any_of_its_files_changes()
    {
        string folder = CopyPlugin("loose/Fixtures.GoodPlugin");
        var loose = new PluginFolder(Path.Combine(_bench.Root, "loose"));
        var asked = new List<LoosePlugin>();

        Assert.NotNull(Load(asked.Add, loose).Layout("pair"));
        Assert.NotNull(Load(asked.Add, loose).Layout("pair"));
        Assert.Equal([("Fixtures.GoodPlugin", false)], asked.Select(plugin => (plugin.Name, plugin.HasChanged)));

        File.WriteAllText(Path.Combine(folder, "more.txt"), "");
        Assert.NotNull(Load(asked.Add, loose).Layout("pair"));
        Assert.Equal([false, true], asked.Select(plugin => plugin.HasChanged));
        Assert.NotEqual(asked[0].Sha256, asked[1].Sha256);
    }

    [Fact]
    public void A_loose_plugin_without_a_yes_is_left_out_with_the_reason()
    {
        CopyPlugin("loose/Fixtures.GoodPlugin");
        var loose = new PluginFolder(Path.Combine(_bench.Root, "loose"));

        Catalogue catalogue = Load(_ => throw new RefusalException("It is not trusted yet.", null, "Say yes."), loose);

        Assert.Empty(catalogue.Layouts);
        Assert.Equal("It is not trusted yet. Say yes.", Assert.Single(catalogue.Problems).Reason);
        Assert.Equal("Nothing says that it is trusted.", Assert.Single(Catalogue.Load([loose], Scripts).Problems).Reason);
    }

    [Fact]
    public void A_link_in_a_loose_plugin_is_refused()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Making links takes rights there.");
        string folder = CopyPlugin("loose/Fixtures.GoodPlugin");
        File.CreateSymbolicLink(Path.Combine(folder, "Changing.dll"), "/etc/hostname");

        Assert.Contains("'Changing.dll' is a link", Assert.Single(Load(new PluginFolder(Path.Combine(_bench.Root, "loose"))).Problems).Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void The_hash_of_a_folder_knows_names_and_contents()
    {
        string Hash(params (string Name, string Text)[] files)
        {
            string folder = $"hash{Guid.NewGuid():n}";
            foreach ((string name, string text) in files)
                _bench.Write($"{folder}/{name}", text);
            return FolderHash.Of(Path.Combine(_bench.Root, folder));
        }

        string[] hashes = [Hash(("a", "1"), ("b", "2")), Hash(("a", "2"), ("b", "1")), Hash(("a", "1")), Hash(("a", "1"), ("b", "")), Hash(("below/a", "1"), ("b", "2")),
            Hash(("ä", "1"), ("b", "2")), Hash(("ö", "1"), ("b", "2"))];
        Assert.Equal(hashes.Length, hashes.Distinct().Count());
        Assert.Equal(hashes[0], Hash(("b", "2"), ("a", "1")));
    }

    private static LayoutScripts Scripts { get; } = new(new RoslynScriptCompiler(), new InProcessExecutor(), CancellationToken.None);

    private Catalogue Load(params PluginFolder[] folders) => Load(_ => { }, folders);

    private Catalogue Load(Action<LoosePlugin> ask, params PluginFolder[] folders)
    {
        _bench.Restart();
        return Catalogue.Load(folders, Scripts, trust: new PluginTrust(() => _bench.Trust, _bench.Store, ask), packages: _bench.Store);
    }

    private Package Layout(string name, string? text = null) =>
        _bench.Make(null, PackageBench.Manifest("package-" + name), (name + ".csx", text ?? $"Name(\"{name}\");\nTile(0, 0);")).Package;

    private void InstallPlugin()
    {
        string folder = CopyPlugin($"plugin{Guid.NewGuid():n}");
        File.WriteAllText(Path.Combine(folder, PackageDocument.FileName), PackageBench.Manifest("good-plugin", kind: "plugin"));
        _bench.Install(new PackageMaker(null!).Make(folder, () => _bench.Key()).Package);
    }

    private string CopyPlugin(string to)
    {
        string folder = Directory.CreateDirectory(Path.Combine(_bench.Root, to)).FullName;
        foreach (string path in Directory.EnumerateFiles(Path.Combine(FixturePlugins.Folder.Path, "Fixtures.GoodPlugin")))
            File.Copy(path, Path.Combine(folder, Path.GetFileName(path)));
        return folder;
    }
}
