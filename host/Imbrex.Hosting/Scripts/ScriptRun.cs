using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>One run of a compiled layout script in this process.</summary>
internal static class ScriptRun
{
    /// <summary>Loads the script, runs it and lets it go.</summary>
    public static LayoutScriptResult Execute(byte[] assembly, byte[] symbols, LayoutScriptRequest request)
    {
        var globals = new LayoutScript(request.Request, request.Given);
        try
        {
            using var loaded = new LoadedScript(assembly, symbols);
            loaded.RunAsync(globals).GetAwaiter().GetResult();
            return globals.Result();
        }
        catch (RefusalException) when (request.IsProbe)
        {
            return new(globals.Describe(), []);
        }
    }
}
