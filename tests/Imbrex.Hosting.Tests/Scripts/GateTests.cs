using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>The layers before a script runs: what they stop together and alone, and what they let through.</summary>
public class GateTests(ITestOutputHelper output)
{
    private static readonly IReadOnlyList<ScriptCorpus> Escapes = ScriptCorpus.Read("escapes.txt");

    public static TheoryData<string> EscapeNames => [.. Escapes.Select(script => script.Name)];

    public static TheoryData<string> OrdinaryNames => [.. ScriptCorpus.Read("ordinary.txt").Select(script => script.Name)];

    [Theory]
    [MemberData(nameof(EscapeNames))]
    public void An_escape_is_refused_before_it_runs(string name)
    {
        ScriptCorpus script = Escapes.Single(one => one.Name == name);
        InputException error = Assert.Throws<InputException>(() => Compile(script, ScriptLayers.All));
        output.WriteLine($"{error.Message} | {error.Where} | {error.Remedy}");
    }

    [Theory]
    [MemberData(nameof(OrdinaryNames))]
    public void What_layouts_are_written_with_passes_and_runs(string name)
    {
        ScriptCorpus script = ScriptCorpus.Read("ordinary.txt").Single(one => one.Name == name);
        Assert.NotEmpty(ScriptBench.Run(script.Text).Tiles);
    }

    /// <summary>Which layer stops what when it is alone: the table is printed, and a layer that stopped nothing by itself would be none.</summary>
    [Fact]
    public void Every_layer_stops_something_by_itself()
    {
        HashSet<string> open = Through(ScriptLayers.None);
        foreach (ScriptLayers alone in new[] { ScriptLayers.Syntax, ScriptLayers.References, ScriptLayers.Symbols, ScriptLayers.Metadata })
        {
            HashSet<string> through = Through(alone);
            output.WriteLine($"{alone} alone stops {open.Count - through.Count} of the {open.Count} that compile without any; through come: {string.Join("; ", through)}");
            Assert.InRange(through.Count, 0, open.Count * 3 / 4);
            Assert.Subset(open, through);
        }
        // Without each of them the others still hold nearly everything.
        foreach (ScriptLayers missing in new[] { ScriptLayers.Syntax, ScriptLayers.References, ScriptLayers.Symbols, ScriptLayers.Metadata })
            output.WriteLine($"all but {missing}: through come {string.Join("; ", Through(ScriptLayers.All & ~missing))}");
        Assert.Empty(Through(ScriptLayers.All & ~ScriptLayers.References));
        Assert.Empty(Through(ScriptLayers.All & ~ScriptLayers.Metadata));
    }

    [Theory]
    [InlineData("deep brackets")]
    [InlineData("deep blocks")]
    [InlineData("deep arrays")]
    [InlineData("deep nested interpolation")]
    public void Brackets_are_counted_before_anything_is_parsed(string name)
    {
        ScriptCorpus script = Escapes.Single(one => one.Name == name);
        ScriptSource source = ScriptSource.Parse(ScriptBench.Name, script.Bytes);
        if (name == "deep arrays")
            TextGate.Check(source);
        else
            Assert.Contains("levels deep", Assert.Throws<InputException>(() => TextGate.Check(source)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_refusal_names_place_symbol_and_what_to_write_instead()
    {
        InputException file = Assert.Throws<InputException>(() => ScriptBench.Compile("Name(\"a\");\nvar x = System.IO.File.ReadAllText(\"x\");"));
        Assert.Contains("File'", file.Message, StringComparison.Ordinal);
        Assert.StartsWith("work/mine.csx, line 2, column ", file.Where, StringComparison.Ordinal);
        Assert.Contains("Parameter(...)", file.Remedy, StringComparison.Ordinal);

        InputException hash = Assert.Throws<InputException>(() => ScriptBench.Compile("Tile(\"a\".GetHashCode(), 0);"));
        Assert.Contains("GetHashCode", hash.Message, StringComparison.Ordinal);
        Assert.Contains("compare the values", hash.Remedy, StringComparison.Ordinal);

        InputException network = Assert.Throws<InputException>(() => ScriptBench.Compile("var x = System.Net.Dns.GetHostName();"));
        Assert.Contains("Dns", network.Message, StringComparison.Ordinal);
        Assert.Contains("no network", network.Remedy, StringComparison.Ordinal);

        InputException seed = Assert.Throws<InputException>(() => ScriptBench.Compile("Tile(new Random().NextDouble(), 0);"));
        Assert.Contains("new Random(7)", seed.Remedy, StringComparison.Ordinal);

        InputException word = Assert.Throws<InputException>(() => ScriptBench.Compile("a: goto a;"));
        Assert.Equal(("A layout or adapter script may not use a labeled statement ('a: goto a;').", "Use a loop or a local function."), (word.Message, word.Remedy));
    }

    [Fact]
    public void What_is_damaged_never_takes_the_metadata_gate_down()
    {
        byte[] whole = ScriptBench.Compile(ScriptCorpus.Read("ordinary.txt").Single(one => one.Name == "patterns").Text).Assembly;
        Assert.Null(MetadataGate.Refuse(whole, AllowList.Shared));
        var random = new Random(5);
        int refused = 0;
        for (int i = 0; i < 2000; i++)
        {
            byte[] damaged = [.. whole];
            for (int change = random.Next(1, 6); change > 0; change--)
                damaged[random.Next(damaged.Length)] = (byte)random.Next(256);
            if (MetadataGate.Refuse(damaged, AllowList.Shared) is not null)
                refused++;
        }
        output.WriteLine($"{refused} of 2000 damaged assemblies are refused; in the rest the damage lies in code or text.");
        Assert.InRange(refused, 400, 2000);
        Assert.NotNull(MetadataGate.Refuse(whole[..(whole.Length / 2)], AllowList.Shared));
        Assert.NotNull(MetadataGate.Refuse([], AllowList.Shared));
    }

    [Fact]
    public void Every_listed_member_exists()
    {
        // A name that no type has would be a wish, and a wrong one grants nothing: but it misleads whoever reads the list.
        Assert.All(AllowList.Shared.Types, type => Assert.True(Find(type) is not null, type));

        static Type? Find(string name) => new[] { typeof(object).Assembly, typeof(Enumerable).Assembly, typeof(Stack<int>).Assembly, typeof(SdkContract).Assembly }
            .Select(assembly => assembly.GetType(name)).FirstOrDefault(type => type is not null);
    }

    private static HashSet<string> Through(ScriptLayers layers) => [.. Escapes.Where(script => !IsBomb(script) && Passes(script, layers)).Select(script => script.Name)];

    private static bool Passes(ScriptCorpus script, ScriptLayers layers)
    {
        try
        {
            Compile(script, layers);
            return true;
        }
        catch (InputException)
        {
            return false;
        }
    }

    // Without the gates before it the compiler itself would go down.
    private static bool IsBomb(ScriptCorpus script) => script.Name.StartsWith("deep ", StringComparison.Ordinal) || script.Name.Contains("double", StringComparison.Ordinal);

    private static CompiledScript Compile(ScriptCorpus script, ScriptLayers layers) =>
        new RoslynScriptCompiler(layers).Compile(ScriptSource.Parse(ScriptBench.Name, script.Bytes), ScriptKind.Layout);
}
