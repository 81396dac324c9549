using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Scripts;

/// <summary>An adapter script as an adapter geometry. The script says where the carriage stands; seats, turns and reasons are the program's own.</summary>
public sealed class ScriptAdapter : IAdapterGeometry
{
    private readonly CompiledScript _script;
    private readonly IAdapterExecutor _executor;
    private readonly CancellationToken _cancellation;

    internal ScriptAdapter(CompiledScript script, IAdapterExecutor executor, CancellationToken cancellation)
    {
        (_script, _executor, _cancellation) = (script, executor, cancellation);
        Description = executor.Describe(script, cancellation);
    }

    public PartDescription Description { get; }

    /// <summary>Path as it was given.</summary>
    public string Path => _script.Source.Path;

    /// <summary>SHA-256 of the script's file.</summary>
    public string Sha256 => _script.Source.Sha256;

    public IBack Build(BackSpec spec) => new SeatedBack(spec, _executor.Build(_script, spec, _cancellation));
}
