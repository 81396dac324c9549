using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Scripts.Children;
using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Cli.Tests.Isolation;

/// <summary>The walls around a child process, tried from inside.</summary>
public class WallTests(BehindWalls walls) : IClassFixture<BehindWalls>
{
    [Fact]
    public void On_linux_a_child_reads_writes_opens_and_starts_nothing()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && Landlock.Abi > 0, "This machine has no Landlock.");

        (ChildWalls standing, Refusals refused) = IsolatedScripts.TryWalls(BehindWalls.Program);

        Assert.Equal(ChildWalls.Heap | ChildWalls.Landlock | ChildWalls.Resources | ChildWalls.SystemCalls, standing);
        Assert.Equal(Refusals.All, refused);
    }

    [Fact]
    public void Landlock_alone_keeps_a_thread_from_files_and_leaves_the_others_alone()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && Landlock.Abi > 0, "This machine has no Landlock.");
        string readable = Path.GetDirectoryName(typeof(object).Assembly.Location)!;
        bool stands = false, reads = false;
        Exception? refused = null;
        var thread = new Thread(() =>
        {
            stands = OperatingSystem.IsLinux() && Landlock.RestrictThisThread([readable], []);
            reads = Directory.EnumerateFiles(readable).Any();
            refused = Record.Exception(() => Directory.GetFiles("/etc"));
        });
        thread.Start();
        thread.Join();

        Assert.True(stands);
        Assert.True(reads);
        Assert.IsType<UnauthorizedAccessException>(refused);
        Assert.NotEmpty(Directory.GetFiles("/etc"));
    }

    [Fact]
    public void A_child_believes_no_assembly()
    {
        ScriptSource source = ScriptSource.Parse("work/mine.csx", "Name(\"a\"); Tile(Environment.ProcessId, 0);"u8.ToArray());
        CompiledScript script = new RoslynScriptCompiler(ScriptLayers.None).Compile(source, ScriptKind.Layout);

        InputException error = Assert.Throws<InputException>(() => walls.Run(script, TestContext.Current.CancellationToken));

        Assert.Contains("System.Environment", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void What_gates_refuse_in_the_child_is_told_at_its_place()
    {
        InputException error = Assert.Throws<InputException>(() => walls.Compile("Name(\"a\");\nvar t = Environment.TickCount;"));

        Assert.StartsWith("work/mine.csx, line 2, column ", error.Where, StringComparison.Ordinal);
        Assert.Contains("Parameter(...)", error.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void The_wait_for_a_script_can_be_cancelled()
    {
        CompiledScript script = walls.Compile("while (true) ;");
        using var cancelled = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        cancelled.CancelAfter(TimeSpan.FromMilliseconds(300));

        Assert.ThrowsAny<OperationCanceledException>(() => walls.Run(script, cancelled.Token));
        Assert.Single(walls.Run(walls.Compile("Name(\"mine\"); Tile(3, 0);"), TestContext.Current.CancellationToken).Tiles);
    }

    [Fact]
    public void A_refusal_in_a_child_stays_a_refusal()
    {
        RefusalException error = Assert.Throws<RefusalException>(() => walls.Run("Name(\"a\");\nif (Overlap > 0) throw new RefusalException(\"Too small.\", null, \"Ask for less.\");\nTile(0, 0);"));

        Assert.Equal(("Too small.", "Ask for less."), (error.Message, error.Remedy));
        Assert.Contains("line 2", error.Where, StringComparison.Ordinal);
    }

    // Each lambda is bound once for every overload of the call that it is an argument of, and so are those within it.
    [Fact]
    public void A_script_that_costs_the_compiler_too_much_is_given_up()
    {
        string calls = string.Concat(Enumerable.Range(0, 11).Select(i => $"xs.Sum(a{i} => ")) + "a0 + a10" + new string(')', 11);
        using var compiler = new ChildCompiler(BehindWalls.Program, new RoslynScriptCompiler(), TimeSpan.FromSeconds(60));
        compiler.Compile(ScriptSource.Parse("work/easy.csx", "Name(\"a\"); Tile(new[] { 1 }.Sum(a => a), 0);"u8.ToArray()), ScriptKind.Layout);
        compiler.Limit = TimeSpan.FromSeconds(3);
        ScriptSource source = ScriptSource.Parse("work/mine.csx", System.Text.Encoding.UTF8.GetBytes($"Name(\"a\"); var xs = new[] {{ 1 }};\nTile({calls}, 0);"));

        InputException error = Assert.Throws<InputException>(() => compiler.Compile(source, ScriptKind.Layout));

        Assert.Equal("The script could not be compiled within 3 s.", error.Message);
    }

    [Fact]
    public async Task The_program_itself_stays_up()
    {
        using var folder = new TemporaryFolder();
        string script = folder.Write("endless.csx", "Name(\"endless\");\ndouble Deeper(double x) => Deeper(x + 1) + 1;\nTile(Deeper(0), 0);");

        Run run = await Imbrex.RunAsync("check", script, "--sensor", "36x24/6000x4000", "--format", "90x44");

        Assert.Equal(1, run.ExitCode);
        Assert.Contains("The script calls 'Deeper' from itself without end.", run.Error, StringComparison.Ordinal);
        Assert.Contains("endless.csx, line 2", run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("Stack overflow", run.Error, StringComparison.Ordinal);
    }
}
