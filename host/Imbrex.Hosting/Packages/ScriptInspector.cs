using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>What a look at a script told.</summary>
/// <param name="Name">The name by which it will be used.</param>
/// <param name="Drawing">A drawing of what it does, SVG, or null.</param>
public sealed record InspectedScript(string Name, byte[]? Drawing);

/// <summary>Looks at scripts before they are packed.</summary>
public interface IScriptInspector
{
    /// <summary>Compiles a script and asks what it is.</summary>
    /// <param name="path">The script.</param>
    /// <param name="kind"><c>layout</c>, <c>adapter</c> or <c>batch</c>.</param>
    /// <exception cref="ImbrexException">It cannot be read, does not compile, or fails.</exception>
    InspectedScript Inspect(string path, string kind);
}

/// <summary>Looks at scripts as the program would use them: layouts and adapters behind walls, batches by compiling them only.</summary>
public sealed class ScriptInspector(IScriptCompiler compiler, LayoutScripts layouts, AdapterScripts adapters) : IScriptInspector
{
    // A format that most layouts can serve; one that cannot goes without a drawing.
    private static readonly SensorPart Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 6000, HeightPx = 4000 };
    private static readonly Sdk.Geometry.PlaneSize Format = new(90, 44);

    public InspectedScript Inspect(string path, string kind)
    {
        if (kind == PackageWords.Layout)
        {
            ScriptLayout layout = layouts.Open(path);
            return new(layout.Description.Name, Draw(layout));
        }
        if (kind == PackageWords.Adapter)
            return new(adapters.Open(path).Description.Name, null);
        compiler.Compile(ScriptSource.Read(path), ScriptKind.Batch);
        return new(Path.GetFileNameWithoutExtension(path), null);
    }

    private static byte[]? Draw(ScriptLayout layout)
    {
        try
        {
            PlanResult result = Planner.Plan(new() { Layout = layout, Sensor = Sensor, Format = Format });
            return result.Plan is null ? null : PlanDrawing.Svg(result.Plan, result.Verdict);
        }
        catch (ImbrexException)
        {
            return null;
        }
    }
}
