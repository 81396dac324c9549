using Imbrex.Hosting.Plugins;
using Xunit;

namespace Imbrex.Hosting.Tests.Plugins;

public sealed class UnreadPluginsTests
{
    private static readonly PluginFile[] All = [.. FixturePlugins.Folder.Files()];

    [Fact]
    public void What_a_plugin_may_hold_is_known_without_loading_it()
    {
        Assert.Equal(PartKinds.All, PluginContract.Kinds(Of("Fixtures.GoodPlugin")));
        Assert.Equal(PartKinds.Layout, PluginContract.Kinds(Of("Fixtures.OtherLibraryPlugin")));
        Assert.Equal(PartKinds.Export, PluginContract.Kinds(Of("Fixtures.PicturePlugin")));
        Assert.Equal(PartKinds.All, PluginContract.Kinds(new("missing", Path.Combine(FixturePlugins.Folder.Path, "missing.dll"), false)));
    }

    [Fact]
    public void A_plugin_that_cannot_hold_what_is_sought_is_passed_over()
    {
        var unread = new UnreadPlugins([Of("Fixtures.PicturePlugin"), Of("Fixtures.OtherLibraryPlugin")]);

        Assert.Equal("Fixtures.OtherLibraryPlugin", unread.Next(PartKinds.Layout)?.Name);
        Assert.Null(unread.Next(PartKinds.Layout));
        Assert.Equal("Fixtures.PicturePlugin", unread.Next(PartKinds.All)?.Name);
        Assert.Null(unread.Next(PartKinds.All));
    }

    // The good plugin holds an export target too; that of the earlier plugin must be the first found.
    [Fact]
    public void An_earlier_plugin_keeps_its_place_before_one_that_shares_a_kind_with_it()
    {
        var unread = new UnreadPlugins([Of("Fixtures.PicturePlugin"), Of("Fixtures.GoodPlugin"), Of("Fixtures.OtherLibraryPlugin")]);

        Assert.Equal("Fixtures.PicturePlugin", unread.Next(PartKinds.Layout)?.Name);
        Assert.Equal("Fixtures.GoodPlugin", unread.Next(PartKinds.Layout)?.Name);
        Assert.Equal("Fixtures.OtherLibraryPlugin", unread.Next(PartKinds.Layout)?.Name);
    }

    private static PluginFile Of(string name) => All.Single(plugin => plugin.Name == name);
}
