using System.Runtime.CompilerServices;
using System.Text;
using CsCheck;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>Adapter scripts: what the gates let through and what not, and that the inverse agrees with what the script says.</summary>
public class AdapterScriptTests(ITestOutputHelper output)
{
    private const double Accuracy = 1e-9;

    private static readonly IReadOnlyList<ScriptCorpus> Escapes = ScriptCorpus.Read("adapter-escapes.txt");
    private static readonly IReadOnlyList<ScriptCorpus> Ordinary = ScriptCorpus.Read("adapter-ordinary.txt");

    public static TheoryData<string> EscapeNames => [.. Escapes.Select(script => script.Name)];

    public static TheoryData<string> BombNames => [.. ScriptCorpus.Read("adapter-bombs.txt").Select(script => script.Name)];

    public static TheoryData<string> OrdinaryNames => [.. Ordinary.Select(script => script.Name)];

    public static TheoryData<string> Shipped => [.. Directory.GetFiles(Repository.Scripts("adapters"), "*.csx").Select(path => Path.GetFileName(path))];

    [Theory]
    [MemberData(nameof(EscapeNames))]
    public void An_escape_is_refused_before_it_runs(string name)
    {
        InputException error = Assert.Throws<InputException>(() => Compile(Escapes.Single(one => one.Name == name).Text));
        output.WriteLine($"{error.Message} | {error.Where} | {error.Remedy}");
    }

    [Theory]
    [MemberData(nameof(BombNames))]
    public void A_bomb_is_legal_to_the_gates(string name) =>
        Assert.NotEmpty(Compile(ScriptCorpus.Read("adapter-bombs.txt").Single(one => one.Name == name).Text).Assembly);

    [Fact]
    public void Every_layer_stops_escapes_of_adapters_by_itself()
    {
        int open = Through(ScriptLayers.None).Count;
        foreach (ScriptLayers alone in new[] { ScriptLayers.Syntax, ScriptLayers.References, ScriptLayers.Symbols, ScriptLayers.Metadata })
        {
            HashSet<string> through = Through(alone);
            output.WriteLine($"{alone} alone stops {open - through.Count} of {open}; through come: {string.Join("; ", through)}");
            Assert.InRange(through.Count, 0, open - 1);
        }
        Assert.Empty(Through(ScriptLayers.All & ~ScriptLayers.References));
        Assert.Empty(Through(ScriptLayers.All & ~ScriptLayers.Metadata));
    }

    [Theory]
    [MemberData(nameof(OrdinaryNames))]
    public void The_inverse_of_what_adapters_are_written_with_agrees_with_the_carriage(string name)
    {
        ScriptCorpus script = Ordinary.Single(one => one.Name == name);
        BackSpec spec = new() { AngularTolerance = 20, Axes = [.. script.Expectation.Select(kind => kind == 's' ? Slide : Pivot)] };
        Agrees(Open(script.Text), spec, 100);
    }

    [Theory]
    [MemberData(nameof(Shipped))]
    public void The_inverse_of_a_shipped_adapter_agrees_with_the_carriage_whatever_the_specimen(string name)
    {
        ScriptAdapter adapter = Scripts().Open(Path.Combine(Repository.Scripts("adapters"), name));
        Assert.Equal(Path.GetFileNameWithoutExtension(name), adapter.Description.Name);
        Gen.Int[0, 1_000_000].Sample(seed => Agrees(adapter, Specimen(new Random(seed)), 6), iter: 40);
    }

    [Fact]
    public void A_kind_of_script_is_told_by_the_words_that_it_calls()
    {
        Assert.Equal(ScriptKind.Layout, Kind("Name(\"a\"); Tile(0, 0);"));
        Assert.Equal(ScriptKind.Adapter, Kind("Name(\"a\"); Carriage(p => new(0, 0));"));
        Assert.Equal(ScriptKind.Layout, Kind("// Carriage(p)\n/* Axis(\"a\") */ var s = \"Axis(3)\"; var t = @\"\"\"Pivot(\"; var u = $\"{s} Carriage(\"; Tile(0, 0);"));
        Assert.Equal(ScriptKind.Layout, Kind("var s = \"\"\"\nAxis(\"a\")\n\"\"\"; var c = '\"'; Tile(0, 0); // Axis("));
        Assert.Equal(ScriptKind.Adapter, Kind("var rail =\n  Axis (\"a\"); // Tile(0, 0)"));
        Assert.Equal(ScriptKind.Layout, Kind("var x = Reach.Axis(3); int MyCarriage(int n) => n; MyCarriage(3); Tile(0, 0);"));
        Assert.Equal(3, ScriptWords.LineOf(Source("// Carriage(\n/* \n*/ Carriage(p => new(0, 0));"), "Carriage"));

        static ScriptKind Kind(string text) => ScriptWords.KindOf(Source(text));
    }

    [Fact]
    public void A_script_of_the_other_kind_is_refused_in_plain_words()
    {
        using var folder = new TemporaryFolder();
        string layout = folder.Write("layout.csx", "Name(\"a\");\nTile(0, 0);"), adapter = folder.Write("adapter.csx", "Name(\"a\");\nvar x = Axis(\"x\");\nCarriage(p => new(p[x], 0));");

        InputException one = Assert.Throws<InputException>(() => Scripts().Open(layout));
        Assert.StartsWith("This is a layout script: it places tiles.", one.Message, StringComparison.Ordinal);
        Assert.Contains("layout.csx, line 2", one.Where, StringComparison.Ordinal);
        InputException other = Assert.Throws<InputException>(() => new LayoutScripts(new RoslynScriptCompiler(), new InProcessExecutor(), CancellationToken.None).Open(adapter));
        Assert.StartsWith("This is an adapter script", other.Message, StringComparison.Ordinal);
        Assert.Contains("back.adapter", other.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void Parameters_and_axes_are_checked_against_the_kit()
    {
        ScriptAdapter adapter = Open("Name(\"a\"); Summary(\"An arm\"); var r = Parameter(\"reach\", 30, Unit.Millimetre, 10, 50); var arm = Pivot(\"the arm\");\nCarriage(p => new(r * Math.Cos(p[arm] * Math.PI / 180), 0, p[arm]));");
        Assert.Equal(("An arm", "reach"), (adapter.Description.Summary, adapter.Description.Parameters.Single().Name));

        BackSpec spec = new() { Axes = [Pivot], AngularTolerance = 20, Parameters = ParameterValues.Bind(adapter.Description.Parameters, new Dictionary<string, string> { ["reach"] = "40" }) };
        Assert.Equal(40, adapter.Build(spec).Pose(new([0])).Centre.X, Accuracy);
        Assert.Contains("the kit gives it in mm", Assert.Throws<InputException>(() => adapter.Build(spec with { Axes = [Slide] })).Message, StringComparison.Ordinal);
        Assert.Contains("Give in this order: the arm.", Assert.Throws<InputException>(() => adapter.Build(spec with { Axes = [Pivot, Pivot] })).Remedy, StringComparison.Ordinal);
        InputException play = Assert.Throws<InputException>(() => adapter.Build(spec with { AngularTolerance = 0.1 }));
        Assert.Contains("turns the sensor by", play.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void What_is_out_of_reach_is_told_in_words()
    {
        IBack free = Open("Name(\"a\"); var x = Axis(\"the rail\"); var y = Axis(\"the lift\"); Carriage(p => new(p[x], p[y]));").Build(new() { Axes = [Slide, Slide with { Tolerance = 0 }] });
        Assert.Equal("the nearest that it comes is (40, 10) mm on the upright back, 15 mm off, with the rail at its end, 40 mm", free.Solve(new(new(55, 10)))[0].Reason);
        IBack stops = Open("Name(\"a\"); var x = Axis(\"the rail\"); Carriage(p => new(p[x], 0));").Build(new() { Axes = [Slide with { Detents = [-20, 0, 20] }] });
        Assert.Equal("the rail would have to be at 14 mm and the nearest stop is 20 mm", stops.Solve(new(new(14, 0)))[0].Reason);
        Assert.Equal([20.0], stops.Solve(new(new(14, 0)))[0].Setting.Positions);
    }

    [Fact]
    public void A_thousand_runs_leave_no_assembly_behind()
    {
        RunMany(1000);
        LoadedAssemblies.AssertNone(Mark);
    }

    private const string Mark = "adapter-of-a-thousand-runs";

    [MethodImpl(MethodImplOptions.NoInlining)]
    private static void RunMany(int times)
    {
        CompiledScript script = new RoslynScriptCompiler().Compile(Source("Name(\"a\"); var x = Axis(\"x\"); Carriage(p => new(p[x], 0));"), ScriptKind.Adapter, Mark);
        BackSpec spec = new() { Axes = [Slide with { Detents = [0, 10] }] };
        for (int i = 0; i < times; i++)
        {
            using var run = new AdapterRun(script.Assembly, script.Symbols);
            Assert.Equal(10, run.Build(new Dictionary<string, string>(), spec).Place([10.0]).X);
        }
    }

    private static AxisSpec Slide { get; } = new() { Minimum = -40, Maximum = 40, Tolerance = 0.2 };

    private static AxisSpec Pivot { get; } = new() { Minimum = -80, Maximum = 80, Tolerance = 0.2, IsPivot = true };

    // A slide and a pivot, each free or with stops, now and then a body off its axis, and sometimes a second seat.
    private static BackSpec Specimen(Random random)
    {
        return new()
        {
            Axes = [Axis(Slide), Axis(Pivot with { Minimum = -170, Maximum = 170 })],
            Turns = random.Next(2) == 0 ? [new(Turn.None)] : [new(Turn.None, new(random.NextDouble(), 6 * random.NextDouble())), new(Turn.Quarter, new(0, 3), 0.2)],
            Seats = random.Next(2) == 0 ? [new(false)] : [new(false, new(0.2, 0.1)), new(true, new(-0.3, 0.2), 0.1)],
            AngularTolerance = 10,
        };

        AxisSpec Axis(AxisSpec axis)
        {
            double from = axis.Minimum * random.NextDouble(), to = axis.Maximum * random.NextDouble();
            double[] stops = [.. Enumerable.Range(0, random.Next(2) == 0 ? 0 : random.Next(1, 9)).Select(_ => from + random.NextDouble() * (to - from)).Order()];
            return axis with { Minimum = from, Maximum = to, Detents = stops };
        }
    }

    private static void Agrees(ScriptAdapter adapter, BackSpec spec, int settings)
    {
        IBack back = adapter.Build(spec);
        var random = new Random(3);
        for (int i = 0; i < settings; i++)
        {
            double[] positions = [.. spec.Axes.Select(axis => axis.Detents.Count > 0 ? axis.Detents[random.Next(axis.Detents.Count)] : axis.Minimum + random.NextDouble() * (axis.Maximum - axis.Minimum))];
            TurnSpec turn = spec.Turns[random.Next(spec.Turns.Count)];
            SeatSpec seat = spec.Seats[random.Next(spec.Seats.Count)];
            SensorPose pose = back.Pose(new(positions, turn.Turn, seat.BackTurned));
            Assert.InRange(pose.Centre.X, back.Limits.Left, back.Limits.Right);
            Assert.InRange(pose.Centre.Y, back.Limits.Top, back.Limits.Bottom);
            SettingSolution solution = back.Solve(pose).Single(one => one.Setting.BackTurned == seat.BackTurned);
            Assert.True(solution.IsReached, solution.Reason);
            Assert.Equal(solution.Pose, back.Pose(solution.Setting));
            Assert.True((solution.Pose.Centre - pose.Centre).Length <= Accuracy, $"{pose} {solution.Pose}");
            Assert.All(solution.Setting.Positions.Zip(spec.Axes), pair => Assert.Equal(pair.First, AxisStops.Of(pair.Second).Nearest(pair.First)));
        }
    }

    private static AdapterScripts Scripts() => new(new RoslynScriptCompiler(), () => new InProcessAdapters(), CancellationToken.None);

    private static ScriptAdapter Open(string text) => new(Compile(text), new InProcessAdapters(), CancellationToken.None);

    private static ScriptSource Source(string text) => ScriptSource.Parse(ScriptBench.Name, Encoding.UTF8.GetBytes(text));

    private static CompiledScript Compile(string text, ScriptLayers layers = ScriptLayers.All) => new RoslynScriptCompiler(layers).Compile(Source(text), ScriptKind.Adapter);

    private static HashSet<string> Through(ScriptLayers layers) => [.. Escapes.Where(script => Passes(script, layers)).Select(script => script.Name)];

    private static bool Passes(ScriptCorpus script, ScriptLayers layers)
    {
        try
        {
            Compile(script.Text, layers);
            return true;
        }
        catch (InputException)
        {
            return false;
        }
    }
}
