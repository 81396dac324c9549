using Imbrex.Sdk;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>Runs a compiled layout script, wherever that may be: request and result are plain data.</summary>
public interface IScriptExecutor
{
    /// <summary>Says that a script will soon be run. What takes long to start may begin to.</summary>
    void Prepare()
    {
    }

    /// <summary>A new plan begins: the time that scripts took for others counts no longer.</summary>
    void Renew()
    {
    }

    /// <summary>Runs the script.</summary>
    /// <exception cref="InputException">It throws, places no tile, or takes too long; with the script's own line.</exception>
    LayoutScriptResult Run(CompiledScript script, LayoutScriptRequest request, CancellationToken cancellation);
}

/// <summary>What a layout script is asked.</summary>
/// <param name="Request">Sensor, format, overlap and limits.</param>
/// <param name="Given">Parameter values as the user wrote them.</param>
/// <param name="IsProbe">Whether only the description is wanted: a script that refuses the request then still describes itself.</param>
public sealed record LayoutScriptRequest(LayoutRequest Request, IReadOnlyDictionary<string, string> Given, bool IsProbe = false);
