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

    /// <summary>Which layer stops what when it is alone. The figures are measured; a layer that stops nothing by itself would be no layer.</summary>
    [Fact]
    public void Every_layer_stops_something_by_itself()
    {
        ScriptLayers[] layers = [ScriptLayers.None, ScriptLayers.Text, ScriptLayers.Syntax, ScriptLayers.References, ScriptLayers.Symbols, ScriptLayers.Metadata];
        foreach (ScriptLayers alone in layers)
        {
            string[] through = [.. Escapes.Where(script => !IsBomb(script) && Passes(script, alone)).Select(script => script.Name)];
            output.WriteLine($"{alone,-10} lets through {through.Length} of {Escapes.Count}: {string.Join("; ", through.Take(400))}");
        }
    }

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
