using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Plugins;
using Xunit;

namespace Imbrex.Hosting.Tests.Plugins;

public class PluginDiscoveryTests
{
    [Fact]
    public void Sound_parts_are_found_whatever_their_neighbours_do()
    {
        Catalogue catalogue = FixturePlugins.Load(FixturePlugins.Folder);

        Assert.Equal(["idle", "pair", "single", "stumbling"], catalogue.Layouts.Select(entry => entry.Description.Name).Order(StringComparer.Ordinal));
        Assert.Equal(["pinned"], catalogue.Adapters.Select(entry => entry.Description.Name));
        Assert.Equal(["listing", "grey"], catalogue.Exports.Select(entry => entry.Description.Name));
        Assert.All(catalogue.Layouts, entry => Assert.Equal(OriginKind.Plugin, entry.Origin.Kind));
    }

    [Theory]
    [InlineData("Fixtures.ThrowingPlugin", "StillbornLayout cannot be made: the spring is broken")]
    [InlineData("Fixtures.ThrowingPlugin", "lost for words")]
    [InlineData("Fixtures.EmptyPlugin", "holds no public layout, adapter or export target")]
    [InlineData("Fixtures.FuturePlugin", "built for version 9.0.0 of Imbrex.Sdk, and this program has 0.1.0")]
    [InlineData("Fixtures.OtherLibraryPlugin", "'pair' is there already, from Fixtures.GoodPlugin")]
    public void What_cannot_be_used_is_named_with_the_reason(string plugin, string reason)
    {
        IReadOnlyList<PluginProblem> problems = FixturePlugins.Load(FixturePlugins.Folder).Problems;

        Assert.Contains(problems, problem => problem.Name == plugin && problem.Reason.Contains(reason, StringComparison.Ordinal));
        Assert.Equal(5, problems.Count);
    }

    [Fact]
    public void Two_versions_of_one_library_live_side_by_side()
    {
        Catalogue catalogue = FixturePlugins.Load(FixturePlugins.Folder);

        Assert.Contains("first edition", catalogue.Layout("pair").Description.Summary, StringComparison.Ordinal);
        Assert.Contains("second edition", catalogue.Layout("single").Description.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void Plugins_share_the_hosts_libvips_which_is_mapped_once()
    {
        string summary = FixturePlugins.Load(FixturePlugins.Folder).Export("grey").Description.Summary;

        Assert.Equal("NetVips of Default, grey of 117", summary);
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Only Linux lists what is mapped into a process.");
        IEnumerable<string> mapped = File.ReadLines("/proc/self/maps").Select(line => line[(line.LastIndexOf(' ') + 1)..])
            .Where(file => Path.GetFileName(file).StartsWith("libvips", StringComparison.Ordinal));
        Assert.Single(mapped.Distinct());
    }

    [Fact]
    public void Broken_folders_are_named_and_do_not_hide_the_others()
    {
        using var folder = new TemporaryFolder();
        folder.Write("garbage/garbage.dll", "this is no assembly");
        folder.Write("hollow/readme.txt", "nobody built this one");
        folder.Write("greedy/greedy.dll", "never looked at");
        folder.Write("greedy/runtimes/libvips.so.42", "a second copy");
        byte[] whole = File.ReadAllBytes(Path.Combine(FixturePlugins.Folder.Path, "Fixtures.GoodPlugin", "Fixtures.GoodPlugin.dll"));
        folder.Write("cut/cut.dll", "");
        File.WriteAllBytes(Path.Combine(folder.Path, "cut", "cut.dll"), whole[..(whole.Length / 2)]);

        Catalogue catalogue = FixturePlugins.Load(new PluginFolder(folder.Path), FixturePlugins.Folder);

        Assert.NotEmpty(catalogue.Layouts);
        Assert.Contains("not a readable .NET assembly", Reason("garbage"), StringComparison.Ordinal);
        Assert.Contains("hollow.dll is missing", Reason("hollow"), StringComparison.Ordinal);
        Assert.Contains("its own copy of libvips (libvips.so.42)", Reason("greedy"), StringComparison.Ordinal);
        Assert.NotEmpty(Reason("cut"));

        string Reason(string name) => Assert.Single(catalogue.Problems, problem => problem.Name == name).Reason;
    }

    [Fact]
    public void A_folder_that_does_not_exist_holds_no_plugins()
    {
        Assert.Empty(FixturePlugins.Load(new PluginFolder("/no/such/folder")).Problems);
    }
}
