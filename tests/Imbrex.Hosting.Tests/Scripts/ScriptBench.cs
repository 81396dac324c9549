using System.Text;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>Runs the text of a layout script.</summary>
internal static class ScriptBench
{
    public const string Name = "work/mine.csx";

    public static LayoutRequest Request { get; } = new() { Sensor = new(36, 24), Format = new(90, 44), Overlap = 2.4 };

    public static CompiledScript Compile(string text, ScriptKind kind = ScriptKind.Layout) =>
        new RoslynScriptCompiler().Compile(ScriptSource.Parse(Name, Encoding.UTF8.GetBytes(text)), kind);

    public static LayoutScriptResult Run(string text, params (string Name, string Value)[] given) => new InProcessExecutor()
        .Run(Compile(text), new(Request, given.ToDictionary(pair => pair.Name, pair => pair.Value)), CancellationToken.None);
}
