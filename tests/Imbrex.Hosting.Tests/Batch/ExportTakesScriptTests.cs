using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Batch;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;
using Xunit;

namespace Imbrex.Hosting.Tests.Batch;

/// <summary>The batch script of the repository on folders of takes, with steps that only pretend to merge.</summary>
public sealed class ExportTakesScriptTests : IDisposable
{
    private static readonly string Script = Path.Combine(Repository.Scripts("batch"), "export-takes.csx");

    private readonly TemporaryFolder _folder = new();
    private readonly FakeSteps _fake = new();
    private readonly List<string> _log = [];

    private string Input => Path.Combine(_folder.Path, "in");
    private string Output => Path.Combine(_folder.Path, "out");

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Takes_are_merged_and_exported_in_natural_order()
    {
        Take("wall10");
        Take("wall2");

        Assert.Equal(0, await RunAsync());
        Assert.Equal(["merge wall2", "export wall2 jpeg-access", "merge wall10", "export wall10 jpeg-access"], _fake.Calls);
        Assert.True(File.Exists(Path.Combine(Output, "wall2", "jpeg-access", "picture.jpg")));
        Assert.Contains("wall2: a seam crosses a cloud", _log);
    }

    [Fact]
    public async Task What_is_done_is_skipped_until_its_inputs_or_outputs_change()
    {
        Take("wall1");
        await RunAsync();
        _fake.Calls.Clear();

        Assert.Equal(0, await RunAsync());
        Assert.Empty(_fake.Calls);
        Assert.Contains("wall1: merged already", _log);

        _folder.Write("in/wall1/frames/b.tif", "another frame");
        await RunAsync();
        Assert.Equal(["merge wall1"], _fake.Calls);

        _fake.Calls.Clear();
        File.Delete(Path.Combine(Output, "wall1", "jpeg-access", "picture.jpg"));
        await RunAsync();
        Assert.Equal(["export wall1 jpeg-access"], _fake.Calls);

        _fake.Calls.Clear();
        await RunAsync(("target", "tiff-master"));
        Assert.Equal(["export wall1 tiff-master"], _fake.Calls);
    }

    [Fact]
    public async Task One_bad_take_does_not_stop_the_others_and_is_named()
    {
        Take("wall1", "bad");
        Take("wall2");

        Assert.Equal(3, await RunAsync());
        Assert.Contains("export wall2 jpeg-access", _fake.Calls);
        Assert.Contains(_log, line => line.StartsWith("left out: wall1", StringComparison.Ordinal) && line.EndsWith("A frame is missing. Shoot it again.", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_folder_with_only_a_kit_is_planned_first()
    {
        _folder.Write("in/new/kit.json", "{}");

        Assert.Equal(0, await RunAsync(("layout", "regular-grid"), ("format", "90x44.5")));
        Assert.Equal(["plan regular-grid 90x44.5", "merge new", "export new jpeg-access"], _fake.Calls);
        Assert.Single(JsonDocuments.Read<PlanDocument>(Path.Combine(Input, "new", "plan.json"), PlanDocument.SchemaName).Tiles);
    }

    [Fact]
    public async Task A_missing_folder_is_told_at_the_scripts_line()
    {
        InputException error = await Assert.ThrowsAsync<InputException>(() => RunAsync());

        Assert.Contains("There is no folder", error.Message, StringComparison.Ordinal);
        Assert.Contains("export-takes.csx, line ", error.Where, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("1 + 1", 2)]
    [InlineData("var x = 3;", 0)]
    [InlineData("\"words\"", 0)]
    public async Task The_final_expression_is_the_exit_code(string text, int code)
    {
        Assert.Equal(code, await RunTextAsync(text, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Other_exit_codes_are_refused()
    {
        Assert.Contains("ends with 130", (await Assert.ThrowsAsync<InputException>(() => RunTextAsync("130", TestContext.Current.CancellationToken))).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_script_is_cancelled_through_its_token()
    {
        using var source = new CancellationTokenSource(TimeSpan.FromMilliseconds(50));

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => RunTextAsync("await Task.Delay(-1, Cancellation);", source.Token));
    }

    [Fact]
    public async Task A_ledger_that_is_none_is_refused()
    {
        Take("wall1");
        _folder.Write("out/batch.json", "{ \"schema\": \"imbrex/batch/1\", \"steps\": [null] }");

        Assert.EndsWith("batch.json", (await Assert.ThrowsAsync<InputException>(() => RunAsync())).Where, StringComparison.Ordinal);
    }

    private void Take(string name, string plan = "{}")
    {
        _folder.Write($"in/{name}/plan.json", plan);
        _folder.Write($"in/{name}/frames/a.tif", "a frame");
    }

    private Task<int> RunTextAsync(string text, CancellationToken cancellation)
    {
        Directory.CreateDirectory(Input);
        return RunAsync(_folder.Write("own.csx", text), [], cancellation);
    }

    private Task<int> RunAsync(params (string Name, string Value)[] arguments) => RunAsync(Script, arguments, TestContext.Current.CancellationToken);

    private async Task<int> RunAsync(string script, (string Name, string Value)[] arguments, CancellationToken cancellation)
    {
        Directory.CreateDirectory(Output);
        var host = new BatchHost(_fake.Steps, BatchLedger.Open(Output), replace: false, _log.Add, new NoProgress());
        var globals = new BatchScript(host, Input, Output, arguments.ToDictionary(pair => pair.Name, pair => pair.Value), cancellation);
        return await new BatchRunner(new RoslynScriptCompiler()).RunAsync(ScriptSource.Read(script), globals);
    }

    private sealed class NoProgress : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
        }
    }
}
