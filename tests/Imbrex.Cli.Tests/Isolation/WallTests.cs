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
}
