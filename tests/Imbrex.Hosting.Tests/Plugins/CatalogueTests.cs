using Imbrex.Hosting.Catalog;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Hosting.Tests.Plugins;

public class CatalogueTests
{
    private static readonly LayoutRequest Request = new() { Sensor = new(36, 24), Format = new(60, 24), Overlap = 2.4 };
    private readonly Catalogue _catalogue = FixturePlugins.Load(FixturePlugins.Folder);

    [Fact]
    public void A_layout_is_found_by_name_and_works_across_the_load_context()
    {
        IMosaicLayout layout = _catalogue.Layout("pair");
        var values = ParameterValues.Bind(layout.Description.Parameters, new Dictionary<string, string> { ["step"] = "30" });

        Assert.Equal([-15, 15], layout.Arrange(Request with { Parameters = values }).Select(tile => tile.Pose.Centre.X));
    }

    [Fact]
    public void An_unknown_name_gets_the_nearest_one_as_a_suggestion()
    {
        Assert.Equal("Did you mean 'pair'? (5 were left out: see imbrex catalog.)", Assert.Throws<InputException>(() => _catalogue.Layout("piar")).Remedy);
        Assert.Contains("'pinned'", Assert.Throws<InputException>(() => _catalogue.Adapter("pined")).Remedy, StringComparison.Ordinal);
        Assert.Contains("Known are: listing, grey", Assert.Throws<InputException>(() => _catalogue.Export("something-else")).Remedy, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("stumbling", "DivideByZeroException: no gap between the detents")]
    [InlineData("idle", "placed no tile")]
    public void A_part_that_fails_at_work_is_named_with_its_plugin(string name, string how)
    {
        InputException error = Assert.Throws<InputException>(() => _catalogue.Layout(name).Arrange(Request));

        Assert.Contains($"'{name}' of the plugin Fixtures.ThrowingPlugin", error.Message, StringComparison.Ordinal);
        Assert.Contains(how, error.Message, StringComparison.Ordinal);
        Assert.EndsWith("Fixtures.ThrowingPlugin.dll", error.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void An_adapters_back_works_across_the_load_context()
    {
        IBack back = _catalogue.Adapter("pinned").Build(new BackSpec());

        Assert.True(back.Solve(default)[0].IsReached);
        Assert.Equal(5, back.Solve(new(new(3, 4)))[0].Error);
        Assert.Equal(default, back.Pose(new([])));
        Assert.Throws<ArgumentException>(() => back.Pose(new([1.0])));
        Assert.Equal([Turn.None], back.Limits.Turns);
    }
}
