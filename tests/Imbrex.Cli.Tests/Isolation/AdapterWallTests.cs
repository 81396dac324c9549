using System.Globalization;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Scripts.Children;
using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Hosting.Tests.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Xunit;

namespace Imbrex.Cli.Tests.Isolation;

/// <summary>Adapter scripts behind walls: those that every gate lets through must end in plain words, and a child that lies is not believed.</summary>
public class AdapterWallTests(BehindWalls walls, ITestOutputHelper output) : IClassFixture<BehindWalls>
{
    private static readonly IReadOnlyList<ScriptCorpus> Bombs = ScriptCorpus.Read("adapter-bombs.txt");

    private static readonly BackSpec OneSlide = new() { Axes = [new() { Minimum = -40, Maximum = 40, Tolerance = 0.1 }], AngularTolerance = 0.2 };

    public static TheoryData<string> Names => [.. Bombs.Select(bomb => bomb.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void It_ends_in_plain_words(string name)
    {
        ScriptCorpus bomb = Bombs.Single(one => one.Name == name);
        ImbrexException error = Assert.ThrowsAny<ImbrexException>(() =>
        {
            IBack back = walls.Adapter(bomb.Text).Build(OneSlide);
            back.Solve(new(new(3, 0)));
            back.Solve(new(new(70, 0)));
            back.Pose(new([-11.5]));
        });
        output.WriteLine($"{name}: {error.Message} | {error.Where} | {error.Remedy}");
        string all = error.Message + error.Where + error.Remedy;
        Assert.InRange(all.Length, 10, 3000);
        Assert.DoesNotContain(all, letter => letter != '\n' && char.GetUnicodeCategory(letter) is UnicodeCategory.Control or UnicodeCategory.Format);
        string? words = bomb.Expectation switch
        {
            "time" => "did not finish within",
            "stack" => "without end",
            "memory" => "MB that a script may have",
            _ => null,
        };
        if (words is not null)
            Assert.Contains(words, error.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("\n", error.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", all, StringComparison.Ordinal);
        Assert.DoesNotContain("InvalidData", all, StringComparison.Ordinal);
        // What is wrong with the function is shown at its line.
        if (bomb.Text.Contains("Carriage(p", StringComparison.Ordinal) && !bomb.Text.Contains("while (true) ;", StringComparison.Ordinal) && error.Where?.StartsWith("back.", StringComparison.Ordinal) is not true)
            Assert.Contains("work/mine.csx", error.Where, StringComparison.Ordinal);

        // The next script is served as if nothing had been.
        Assert.Equal(3, walls.Adapter("Name(\"b\"); var x = Axis(\"x\"); Carriage(p => new(p[x], 0));").Build(OneSlide).Solve(new(new(3, 0)))[0].Setting.Positions[0], 1e-9);
    }

    [Fact]
    public void A_child_loads_no_assembly_that_the_gate_refuses()
    {
        ScriptSource source = ScriptSource.Parse("work/mine.csx", "Name(\"a\"); Axis(\"x\"); Carriage(p => new(Environment.ProcessId, 0));"u8.ToArray());
        CompiledScript script = new RoslynScriptCompiler(ScriptLayers.None).Compile(source, ScriptKind.Adapter);

        Assert.Contains("System.Environment", Assert.Throws<InputException>(() => walls.Adapter(script, TestContext.Current.CancellationToken)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void The_wait_for_a_carriage_can_be_cancelled()
    {
        using var cancelled = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        ScriptAdapter adapter = walls.Adapter(walls.Compile("Name(\"a\"); var x = Axis(\"x\"); Carriage(p => { while (p[x] > 5.001 && p[x] < 5.002) ; return new(p[x], 0); });", ScriptKind.Adapter), cancelled.Token);
        IBack back = adapter.Build(OneSlide);
        cancelled.CancelAfter(TimeSpan.FromMilliseconds(300));

        Assert.ThrowsAny<OperationCanceledException>(() => back.Pose(new([5.0015])));
    }

    [Fact]
    public void A_carriage_that_hangs_at_one_place_is_named_at_its_line_and_the_others_are_answered_again()
    {
        IBack back = walls.Adapter("Name(\"a\"); var x = Axis(\"x\");\nCarriage(p => { while (p[x] > 5.001 && p[x] < 5.002) ; return new(p[x], 0); });").Build(OneSlide);

        InputException error = Assert.Throws<InputException>(() => back.Pose(new([5.0015])));

        Assert.Equal("The script did not finish within 2 s.", error.Message);
        Assert.StartsWith("work/mine.csx, line 2\n", error.Where, StringComparison.Ordinal);
        Assert.Equal(6, back.Pose(new([6.0])).Centre.X);
    }

    // Each answer comes within its own time; a plan asks for thousands.
    [Fact]
    public void A_carriage_that_is_a_little_too_slow_every_time_is_not_waited_for_for_ever()
    {
        IBack back = walls.Adapter("Name(\"a\"); var x = Axis(\"x\");\nCarriage(p => { var s = 0.0; if (p[x] % 1 == 0.125) for (var i = 0; i < 40000000; i++) s += Math.Sin(i); return new(p[x] + 0 * s, 0); });").Build(OneSlide);

        InputException error = Assert.Throws<InputException>(() =>
        {
            for (int i = 0; i < 40; i++)
                back.Pose(new([i + 0.125 - 20]));
        });

        Assert.Equal("The scripts of this run took more than 4 s in all.", error.Message);
        Assert.StartsWith("work/mine.csx, line 2\n", error.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void An_exception_is_told_at_its_own_line()
    {
        InputException error = Assert.Throws<InputException>(() => walls.Adapter("Name(\"a\");\nvar x = Axis(\"x\");\nCarriage(p =>\n{\n    var far = p[x] > 30;\n    if (far) throw new InvalidOperationException(\"too far\");\n    return new(p[x], 0);\n});").Build(OneSlide));

        Assert.StartsWith("The script failed with InvalidOperationException: too far", error.Message, StringComparison.Ordinal);
        Assert.StartsWith("work/mine.csx, line 6\n", error.Where, StringComparison.Ordinal);
    }

    [Fact]
    public void Many_backs_of_one_script_live_side_by_side_and_a_child_that_is_killed_is_replaced()
    {
        ScriptAdapter adapter = walls.Adapter("Name(\"a\"); var shift = Parameter(\"shift\", 0); var x = Axis(\"x\"); Carriage(p => new(p[x] + shift, 0));");
        IBack[] backs = [.. Enumerable.Range(0, 70).Select(i => adapter.Build(OneSlide with { Parameters = Sdk.Parameters.ParameterValues.Bind(adapter.Description.Parameters, new Dictionary<string, string> { ["shift"] = $"{i}" }) }))];

        for (int i = 0; i < backs.Length; i++)
            Assert.Equal(i + 1, backs[i].Pose(new([1.0])).Centre.X);
        walls.KillAdapterChild();
        Assert.Equal(12, backs[10].Pose(new([2.0])).Centre.X);
    }

    // What a child may answer to the question of the nearest positions, and what must come of it.
    [Fact]
    public void Answers_that_no_back_can_give_are_refused()
    {
        var spec = OneSlide with { Axes = [OneSlide.Axes[0] with { Detents = [0, 10] }] };
        var facts = new CarriageFacts(new(0.1, null), [(0, 0)], [1], [[new(-40, 0), new(40, 0)]]);
        Assert.Equal(facts.Extremes[0], Frames.Take(AdapterMessages.Built(facts)[1..], AdapterMessages.ReadBuilt).Extremes[0]);
        Assert.Null(Record.Exception(() => ChildCarriage.Check(facts, spec)));
        foreach (CarriageFacts lie in new[]
        {
            facts with { Paths = [] }, facts with { Paths = [double.NaN] }, facts with { Tolerance = new(double.NaN, 0) }, facts with { Rotations = [] },
            facts with { Rotations = [(double.NegativeInfinity, 0)] }, facts with { Extremes = [] }, facts with { Extremes = [[]] }, facts with { Extremes = [[new(double.NaN, 0)]] },
        })
        {
            Assert.Throws<InvalidDataException>(() => ChildCarriage.Check(lie, spec));
        }
        Assert.Null(Record.Exception(() => ChildCarriage.Check(new CarriageAnswer([10], new(10, 0)), spec)));
        foreach (CarriageAnswer lie in new CarriageAnswer[] { new([], default), new([3], default), new([double.NaN], default), new([0, 0], default), new([0], new(double.NaN, 0)), new([0], new(0, 0, 1e9)) })
            Assert.Throws<InvalidDataException>(() => ChildCarriage.Check(lie, spec));
    }

    [Fact]
    public void Damaged_answers_are_refused_and_nothing_else()
    {
        byte[] whole = AdapterMessages.Built(new(new(0.1, null), [(0, 0)], [1], [[new(-40, 0), new(40, 0)]]));
        var random = new Random(3);
        for (int i = 0; i < 2000; i++)
        {
            byte[] damaged = random.Next(4) == 0 ? whole[..random.Next(whole.Length)] : [.. whole];
            for (int change = random.Next(1, 5); change > 0 && damaged.Length > 0; change--)
                damaged[random.Next(damaged.Length)] = (byte)random.Next(256);
            Exception? error = Record.Exception(() => Frames.Take(damaged, reader => reader.ReadBoolean() ? ChildCarriage.Check(AdapterMessages.ReadBuilt(reader), OneSlide) : null));
            Assert.True(error is null or InvalidDataException or ArgumentException or OverflowException, error?.ToString());
        }
    }
}
