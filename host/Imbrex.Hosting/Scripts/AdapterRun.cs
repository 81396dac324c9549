using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>A compiled adapter script loaded in this process, for as long as its carriages are asked.</summary>
internal sealed class AdapterRun(byte[] assembly, byte[] symbols) : IDisposable
{
    private readonly LoadedScript _script = new(assembly, symbols);

    /// <summary>Name, summary and parameters, also of a script that refuses its defaults.</summary>
    public PartDescription Describe()
    {
        var globals = new AdapterScript(new Dictionary<string, string>());
        try
        {
            return Run(globals).Description;
        }
        catch (RefusalException)
        {
            return globals.Describe();
        }
    }

    /// <summary>The carriage of a specimen.</summary>
    public Carriage Build(IReadOnlyDictionary<string, string> given, BackSpec spec)
    {
        AdapterScriptResult result = Run(new(given));
        spec.Validate(result.Description.Name, result.Axes);
        return new NumericalCarriage(spec, result.Axes, result.Place, result.Inverse);
    }

    public void Dispose() => _script.Dispose();

    private AdapterScriptResult Run(AdapterScript globals)
    {
        _script.RunAsync(globals).GetAwaiter().GetResult();
        return globals.Result();
    }
}
