using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>A layout script as a layout. A first run, the probe, tells its name and parameters; later ones place the tiles.</summary>
public sealed class ScriptLayout : IMosaicLayout
{
    private static readonly LayoutRequest UsualRequest = new() { Sensor = new(36, 24), Format = new(90, 44), Overlap = 2.4 };

    private readonly ScriptSource _script;
    private readonly Func<LayoutScriptRequest, LayoutScriptResult> _run;

    internal ScriptLayout(ScriptSource script, Func<LayoutScriptRequest, LayoutScriptResult> run, LayoutRequest? about)
    {
        (_script, _run) = (script, run);
        Description = run(new(about ?? UsualRequest, new Dictionary<string, string>(), IsProbe: true)).Description;
    }

    public PartDescription Description { get; }

    /// <summary>SHA-256 of the script's file.</summary>
    public string Sha256 => _script.Sha256;

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => _run(new(request, request.Parameters.ToText())).Tiles;
}
