using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Planning;
using Imbrex.Hosting.Plugins;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Hosting.Tests.Plugins;

/// <summary>A plugin that hangs, throws or gives back nothing, wherever it can: each part is named, left out and not called again, and its neighbours go on.</summary>
public sealed class MisbehavingPluginTests
{
    private static readonly PluginLimits Impatient = new(TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1));
    private static readonly LayoutRequest Request = new() { Sensor = new(36, 24), Format = new(30, 20), Overlap = 2.4 };

    // The environment is read when a part hangs; nothing else in the tests looks at this name.
    private static readonly Lazy<Catalogue> Shared = new(() => Load("constructor statics description"));

    // Those that hang when they are made do so in one test only, or each would wait for them.
    private static Catalogue Load(string hanging = "arrange build property pose solve")
    {
        Environment.SetEnvironmentVariable("IMBREX_FIXTURE_HANG", hanging);
        return FixturePlugins.Load(Impatient, new PluginFolder(Path.Combine(AppContext.BaseDirectory, "misbehaving")));
    }

    [Theory]
    [InlineData("The constructor of HangingConstructor did not return within 1 s. It is left out for the rest of this run.")]
    [InlineData("The constructor of HangingStatics did not return within 1 s. It is left out for the rest of this run.")]
    [InlineData("The description of HangingDescription did not return within 1 s. It is left out for the rest of this run.")]
    [InlineData("ThrowingStatics cannot be made: the statics are broken")]
    [InlineData("NoDescription cannot say what it is: its description is nothing.")]
    public void What_cannot_be_made_or_described_is_named(string reason)
    {
        _ = Shared.Value.Layouts;
        Assert.Contains(Shared.Value.Problems, problem => problem.Name == "Fixtures.MisbehavingPlugin" && problem.Reason == reason);
        Assert.Single(Shared.Value.Layout("sound").Arrange(Request));
        Assert.Equal(3, Shared.Value.Adapter("sound-slide").Build(new()).Solve(new(new(3, 0)))[0].Pose.Centre.X);
    }

    [Theory]
    [InlineData("hanging-arrange", "Arrange did not return within 1 s.")]
    [InlineData("no-tiles", "Arrange returned nothing.")]
    [InlineData("no-tile", "Arrange returned a tile that is nothing.")]
    [InlineData("throwing-arrange", "InvalidOperationException: no tile today")]
    public void A_layout_that_fails_is_named_and_not_called_again(string name, string how)
    {
        Catalogue catalogue = Load();
        Fails(catalogue, name, how, () => catalogue.Layout(name).Arrange(Request));
        Assert.Single(catalogue.Layout("sound").Arrange(Request));
    }

    [Theory]
    [InlineData("hanging-build", "Build did not return within 1 s.")]
    [InlineData("hanging-property", "Build did not return within 1 s.")]
    [InlineData("no-back", "Build returned nothing.")]
    [InlineData("no-limits", "Build returned a back without limits.")]
    [InlineData("no-axis", "Build returned a back without axes.")]
    public void An_adapter_that_builds_no_back_is_named_and_not_called_again(string name, string how)
    {
        Catalogue catalogue = Load();
        Fails(catalogue, name, how, () => catalogue.Adapter(name).Build(new()));
    }

    [Theory]
    [InlineData("no-solution", "Solve returned nothing.")]
    [InlineData("hollow-solution", "Solve returned a solution that is none.")]
    [InlineData("throwing-pose", "NotSupportedException: no pose today")]
    public void A_back_that_fails_is_named_and_not_called_again(string name, string how)
    {
        Catalogue catalogue = Load();
        IBack back = catalogue.Adapter(name).Build(new());
        Fails(catalogue, name, how, () =>
        {
            back.Solve(default);
            back.Pose(new([1.0]));
        });
        Assert.Throws<InputException>(() => catalogue.Adapter(name).Build(new()));
    }

    [Theory]
    [InlineData("hanging-pose", "Pose did not return within 1 s.")]
    [InlineData("hanging-solve", "Solve did not return within 1 s.")]
    public void Planning_goes_on_without_a_back_that_hangs(string name, string how)
    {
        Catalogue catalogue = Load();
        var planner = new KitPlanner(catalogue);
        Fails(catalogue, name, how, () => planner.Plan(Wish(name)));
        Assert.True(planner.Plan(Wish("sound-slide")).Verdict.Accepted);

        static PlanningWish Wish(string adapter) => new()
        {
            Layout = "sound",
            Format = new(30, 20),
            Kit = new()
            {
                Schema = Engine.Documents.KitDocument.SchemaName,
                Body = new() { WidthMm = 36, HeightMm = 24, WidthPx = 6000, HeightPx = 4000 },
                Back = new() { Adapter = adapter },
            },
        };
    }

    [Theory]
    [InlineData("no-task", "ExportAsync returned no receipt.")]
    [InlineData("no-receipt", "ExportAsync returned no receipt.")]
    [InlineData("throwing-export", "InvalidOperationException: no ink today")]
    public async Task An_export_target_that_fails_is_named_and_not_called_again(string name, string how)
    {
        Catalogue catalogue = Load();
        var request = new ExportRequest { Image = null!, Folder = "nowhere", BaseName = "a" };
        IExportTarget target = catalogue.Export(name);
        InputException first = await Assert.ThrowsAsync<InputException>(() => target.ExportAsync(request, new Progress<double>(), TestContext.Current.CancellationToken));
        InputException second = await Assert.ThrowsAsync<InputException>(() => catalogue.Export(name).ExportAsync(request, new Progress<double>(), TestContext.Current.CancellationToken));
        AreSaid(catalogue, name, how, first, second);
    }

    private static void Fails(Catalogue catalogue, string name, string how, Action call)
    {
        InputException first = Assert.Throws<InputException>(call);
        InputException second = Assert.Throws<InputException>(call);
        AreSaid(catalogue, name, how, first, second);
    }

    private static void AreSaid(Catalogue catalogue, string name, string how, InputException first, InputException second)
    {
        Assert.Equal($"The part '{name}' of the plugin Fixtures.MisbehavingPlugin failed. {how} It is left out for the rest of this run.", first.Message);
        Assert.Equal($"The part '{name}' of the plugin Fixtures.MisbehavingPlugin is left out for the rest of this run. {how}", second.Message);
        Assert.EndsWith("Fixtures.MisbehavingPlugin.dll", first.Where, StringComparison.Ordinal);
        Assert.Single(catalogue.Problems, problem => problem.Reason == $"'{name}' failed. {how}");
    }
}
