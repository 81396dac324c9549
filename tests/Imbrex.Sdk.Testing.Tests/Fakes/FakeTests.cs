using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;
using Imbrex.Sdk.Testing.Conformance;
using Imbrex.Sdk.Testing.Fakes;
using Imbrex.Sdk.Testing.Tests.Conformance;
using Xunit;

namespace Imbrex.Sdk.Testing.Tests.Fakes;

/// <summary>The fakes do what an author relies on.</summary>
public sealed class FakeTests
{
    [Fact]
    public void A_fake_picture_gives_the_same_known_samples_in_any_blocks_and_counts_them()
    {
        var image = new FakeMosaicImage(20, 10, 4);
        var whole = new ushort[20 * 10 * 4];
        image.ReadBlock(0, 0, 20, 10, whole);
        var part = new ushort[3 * 2 * 4];
        image.ReadBlock(7, 5, 3, 2, part);

        Assert.Equal(FakeMosaicImage.Known(9, 6, 2), part[(1 * 3 + 2) * 4 + 2]);
        Assert.Equal(whole[(6 * 20 + 9) * 4 + 2], part[(1 * 3 + 2) * 4 + 2]);
        Assert.Equal((800, 824), (image.LargestBlock, image.SamplesRead));
        Assert.Equal((0, 65535), (whole[3], whole[^1]));
    }

    [Theory]
    [InlineData(-1, 0, 1, 1)]
    [InlineData(0, 0, 21, 1)]
    [InlineData(0, 9, 1, 2)]
    [InlineData(0, 0, 0, 1)]
    public void A_fake_picture_refuses_blocks_that_leave_it(int x, int y, int width, int height) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new FakeMosaicImage(20, 10).ReadBlock(x, y, width, height, new ushort[1000]));

    [Fact]
    public void A_request_is_written_as_on_the_command_line()
    {
        LayoutRequest request = LayoutRequests.For(new PairLayout(), "90x44.5", "step=20");

        Assert.Equal((new(90, 44.5), 20), (request.Format, request.Parameters["step"]));
        Assert.Throws<ArgumentException>(() => LayoutRequests.For(new PairLayout(), "90by44"));
        Assert.Throws<ArgumentException>(() => LayoutRequests.For(new PairLayout(), "90x44", "step"));
        Assert.Throws<InputException>(() => LayoutRequests.For(new PairLayout(), "90x44", "stp=20"));
    }

    [Fact]
    public async Task A_fake_batch_host_remembers_what_a_script_asks()
    {
        var host = new FakeBatchHost { Findings = take => [$"a seam crosses {take.Name}"] };
        BatchScript script = host.Script(arguments: new Dictionary<string, string> { ["target"] = "jpeg-access" });
        foreach (BatchTake take in script.FindTakes(script.Input))
        {
            BatchMosaic mosaic = await script.MergeAsync(take, "out");
            script.Log(mosaic.Findings[0]);
            await script.ExportAsync(mosaic, script.Arguments["target"], "out/jpeg");
            script.Progress(1, take.Name);
        }

        Assert.Equal(["find takes", "merge quarry out", "export quarry jpeg-access out/jpeg"], host.Calls);
        Assert.Equal(["a seam crosses quarry"], host.Lines);
        Assert.Equal(1, host.Done);
    }

    [Fact]
    public void A_fake_guide_answers_as_told_and_remembers()
    {
        var guide = new FakeGuide { Answer = tiles => new(tiles.Count > 1, tiles.Count, default) };

        Assert.False(guide.Try([new(default)]).IsAccepted);
        guide.Note("one is not enough");
        Assert.Equal((1, "one is not enough"), (guide.Tried.Count, guide.Notes[0]));
        Assert.Throws<InputException>(() => guide.Try([new(new(new(double.NaN, 0)))]));
    }

    [Fact]
    public void Legal_values_hold_the_defaults_all_ends_and_middles_and_nothing_that_is_not_legal()
    {
        ParameterDefinition[] definitions = [ParameterDefinition.Number("step", "Step", 26, Unit.Millimetre, 1, 36), ParameterDefinition.Count("rows", "Rows", 2, 1, 9), ParameterDefinition.Choice("way", "Way", "a", "b", "c")];
        ParameterValues[] values = [.. LegalValues.Of(definitions, 300, seed: 7)];

        Assert.Equal("step=26 rows=2 way=a", LegalValues.InWords(values[0]));
        Assert.All([1.0, 18.5, 36], step => Assert.Contains(values, one => one["step"] == step));
        Assert.All([1, 5, 9], rows => Assert.Contains(values, one => one.Whole("rows") == rows));
        Assert.All(["a", "b", "c"], way => Assert.Contains(values, one => one.Word("way") == way));
        Assert.All(values, one => Assert.All(definitions, definition => definition.Validated(one[definition.Name])));
        Assert.Equal(values.Select(LegalValues.InWords), LegalValues.Of(definitions, 300, seed: 7).Select(LegalValues.InWords));
        Assert.True(values.Select(LegalValues.InWords).Distinct().Count() > 150);
    }

    [Fact]
    public void A_scratch_folder_goes_away()
    {
        string path;
        using (var folder = new ScratchFolder())
        {
            path = folder.Path;
            File.WriteAllText(Path.Combine(path, "a.txt"), "");
        }
        Assert.False(Directory.Exists(path));
    }
}
