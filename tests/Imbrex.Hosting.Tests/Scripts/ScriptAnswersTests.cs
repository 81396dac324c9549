using Imbrex.Hosting.Scripts;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Scripting;
using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

public sealed class ScriptAnswersTests : IDisposable
{
    private const string Text = "Name(\"mine\"); Summary(\"Follows the format\"); var n = Parameter(\"n\", 2.0); Tile(Format.Width / 4 + n, 0, Turn.Quarter, id: \"only\");";

    private readonly TemporaryFolder _folder = new();
    private readonly Counting _work = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void The_same_question_runs_a_script_once()
    {
        ScriptLayout first = Open(Text);
        Tile tile = first.Arrange(ScriptBench.Request).Single();
        (int compiled, int run) = (_work.Compiled, _work.Run);

        ScriptLayout second = Open(Text);
        Assert.Equal(tile, second.Arrange(ScriptBench.Request).Single());
        Assert.Equal((first.Description.Name, first.Description.Summary, first.Sha256), (second.Description.Name, second.Description.Summary, second.Sha256));
        Assert.Equal(first.Description.Parameters.Single(), second.Description.Parameters.Single());
        Assert.Equal((compiled, run), (_work.Compiled, _work.Run));
    }

    [Fact]
    public void Another_question_or_another_script_runs_it_again()
    {
        LayoutRequest wider = ScriptBench.Request with { Format = new(120, 44) };
        Open(Text).Arrange(ScriptBench.Request);
        int run = _work.Run;

        Assert.Equal(32, Open(Text).Arrange(wider).Single().Pose.Centre.X);
        Assert.Equal(run + 1, _work.Run);
        Assert.Equal(33, Open(Text.Replace("2.0", "3.0", StringComparison.Ordinal)).Arrange(wider).Single().Pose.Centre.X);
        Assert.Equal(run + 3, _work.Run);
    }

    [Fact]
    public void A_damaged_answer_is_asked_for_anew()
    {
        Tile tile = Open(Text).Arrange(ScriptBench.Request).Single();
        foreach (string file in Directory.GetFiles(_folder.Path))
        {
            byte[] entry = File.ReadAllBytes(file);
            entry[^1] ^= 1;
            File.WriteAllBytes(file, entry);
        }
        int run = _work.Run;

        Assert.Equal(tile, Open(Text).Arrange(ScriptBench.Request).Single());
        Assert.Equal(2 * run, _work.Run);
    }

    // Whole by its checksum, but no answer at all.
    [Fact]
    public void A_whole_entry_of_anothers_making_is_believed_no_more_than_a_child()
    {
        Open(Text).Arrange(ScriptBench.Request);
        var cache = new ScriptCache(_folder.Path);
        foreach (string file in Directory.GetFiles(_folder.Path))
            cache.Keep(Path.GetFileNameWithoutExtension(file), [1, 2, 3], []);
        int run = _work.Run;

        Assert.Equal(24.5, Open(Text).Arrange(ScriptBench.Request).Single().Pose.Centre.X);
        Assert.Equal(2 * run, _work.Run);
    }

    [Fact]
    public void Nothing_is_kept_where_nothing_is_wanted()
    {
        var answers = new ScriptAnswers(new(_folder.Path)) { Keeps = false };
        Open(Text, answers).Arrange(ScriptBench.Request);
        Open(Text, answers).Arrange(ScriptBench.Request);

        Assert.Equal(4, _work.Run);
        Assert.Empty(Directory.GetFiles(_folder.Path));
    }

    private ScriptLayout Open(string text, ScriptAnswers? answers = null)
    {
        string path = _folder.Path + ".csx";
        File.WriteAllText(path, text);
        try
        {
            return new LayoutScripts(_work, _work, CancellationToken.None, answers ?? new(new(_folder.Path))).Open(path, ScriptBench.Request);
        }
        finally
        {
            File.Delete(path);
        }
    }

    private sealed class Counting : IScriptCompiler, IScriptExecutor
    {
        private readonly RoslynScriptCompiler _compiler = new();
        private readonly InProcessExecutor _executor = new();

        public int Compiled { get; private set; }
        public int Run { get; private set; }

        public CompiledScript Compile(ScriptSource source, ScriptKind kind)
        {
            Compiled++;
            return _compiler.Compile(source, kind);
        }

        LayoutScriptResult IScriptExecutor.Run(CompiledScript script, LayoutScriptRequest request, CancellationToken cancellation)
        {
            Run++;
            return _executor.Run(script, request, cancellation);
        }
    }
}
