using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Scripts;

/// <summary>Runs a compiled adapter script, wherever that may be.</summary>
public interface IAdapterExecutor
{
    /// <summary>Begins whatever takes long to start.</summary>
    void Prepare();

    /// <summary>Asks the script what it is.</summary>
    /// <exception cref="InputException">It throws, says nothing of itself, or takes too long; with the script's own line.</exception>
    PartDescription Describe(CompiledScript script, CancellationToken cancellation);

    /// <summary>Makes the carriage of a specimen.</summary>
    /// <param name="script">The script.</param>
    /// <param name="spec">The specimen.</param>
    /// <param name="cancellation">Ends the wait, now and whenever the carriage is asked later.</param>
    /// <exception cref="InputException">The specimen does not suit the script, or the script fails.</exception>
    Carriage Build(CompiledScript script, BackSpec spec, CancellationToken cancellation);
}
