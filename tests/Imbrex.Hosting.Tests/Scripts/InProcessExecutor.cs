using Imbrex.Hosting.Scripts;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>Runs honest scripts in the tests' own process, which is quick. The program itself never does.</summary>
internal sealed class InProcessExecutor : IScriptExecutor
{
    public LayoutScriptResult Run(CompiledScript script, LayoutScriptRequest request, CancellationToken cancellation)
    {
        try
        {
            return ScriptRun.Execute(script.Assembly, script.Symbols, request);
        }
        catch (Exception e)
        {
            throw ScriptFaults.Thrown(script.Source, e);
        }
    }
}
