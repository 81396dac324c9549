using Imbrex.Hosting.Scripts;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>Runs honest adapter scripts in the tests' own process, which is quick. The program itself never does.</summary>
internal sealed class InProcessAdapters : IAdapterExecutor
{
    public void Prepare()
    {
    }

    public PartDescription Describe(CompiledScript script, CancellationToken cancellation) => Told(script, run => run.Describe());

    public Carriage Build(CompiledScript script, BackSpec spec, CancellationToken cancellation) => Told(script, run => run.Build(spec.Parameters.ToText(), spec));

    // The delegates keep the script loaded for as long as they live.
    private static T Told<T>(CompiledScript script, Func<AdapterRun, T> ask)
    {
        using var run = new AdapterRun(script.Assembly, script.Symbols);
        try
        {
            return ask(run);
        }
        catch (Exception e)
        {
            throw ScriptFaults.Thrown(script.Source, e);
        }
    }
}
