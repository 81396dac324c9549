using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Scripting;

/// <summary>
/// The words that a layout script (.csx) may use: its members are in scope there without a prefix. A script says its name, declares
/// its parameters and places its tiles; the same request must give the same tiles.
/// </summary>
public sealed class LayoutScript : PartScript
{
    private readonly LayoutRequest _request;
    private readonly List<Tile> _tiles = [];

    /// <summary>Prepares one run of a script. Hosts call this; scripts do not.</summary>
    /// <param name="request">What is asked for; its parameter values are ignored.</param>
    /// <param name="given">Parameter values as the user wrote them.</param>
    public LayoutScript(LayoutRequest request, IReadOnlyDictionary<string, string> given) : base("a layout", given) => _request = request;

    /// <summary>Most tiles that a script may place.</summary>
    public const int MaximumTiles = 10_000;

    /// <summary>Size of the sensor with the body upright, mm.</summary>
    public PlaneSize Sensor => _request.Sensor;

    /// <summary>The rectangle to fill, mm, centred on the origin.</summary>
    public PlaneSize Format => _request.Format;

    /// <summary>Required overlap, mm.</summary>
    public double Overlap => _request.Overlap;

    /// <summary>Where the back can put the sensor's centre.</summary>
    public BackLimits Limits => _request.Limits;

    /// <summary>The part of a tile that is certain whatever the back does, mm.</summary>
    /// <param name="turn">The body's turn.</param>
    public PlaneSize UsableTile(Turn turn = Turn.None) => _request.UsableTile(turn);

    /// <summary>Evenly spaced positions with their middle on the axis: <c>Centred(count: 2, step: 30)</c> gives -15 and 15.</summary>
    /// <param name="count">How many.</param>
    /// <param name="step">Distance between neighbours, mm.</param>
    public static IReadOnlyList<double> Centred(int count, double step)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, MaximumTiles);
        return EvenSpread.Centred(count, step);
    }

    /// <summary>Places a tile: <c>Tile(34, 0, Turn.Quarter);</c></summary>
    /// <param name="x">Sensor centre, mm to the photographer's right of the axis.</param>
    /// <param name="y">Sensor centre, mm below the axis.</param>
    /// <param name="turn">The body's turn, clockwise seen from behind.</param>
    /// <param name="rotation">Degrees on top of the turn, for backs that turn the sensor freely.</param>
    /// <param name="id">A name for the tile, unique in the layout.</param>
    /// <exception cref="InputException">Not a finite position, or too many tiles.</exception>
    public void Tile(double x, double y, Turn turn = Turn.None, double rotation = 0, string? id = null)
    {
        if (!double.IsFinite(x) || !double.IsFinite(y) || !double.IsFinite(rotation))
            throw new InputException($"Tile {_tiles.Count + 1} has no finite position ({x}, {y}, {rotation}).", "Tile", "Look for a division by zero.");
        if (!Enum.IsDefined(turn))
            throw new InputException($"Tile {_tiles.Count + 1} has the turn {(int)turn}.", "Tile", "A turn is 0, 90, 180 or 270 degrees.");
        if (_tiles.Count == MaximumTiles)
            throw new InputException($"The script places more than {MaximumTiles} tiles.", "Tile", "Look for a loop that does not end.");
        _tiles.Add(new(new(new(x, y), turn, rotation), id));
    }

    /// <summary>What the script said and did. Hosts call this after the run; scripts do not.</summary>
    /// <exception cref="InputException">The script gave no name, placed no tile, or the user gave a parameter that it does not declare.</exception>
    public LayoutScriptResult Result()
    {
        PartDescription description = Describe();
        if (_tiles.Count == 0)
            throw new InputException("The script never places a tile.", "Tile", "Call Tile(x, y) at least once.");
        _ = Bind();
        return new(description, [.. _tiles]);
    }
}

/// <summary>What a run of a layout script yields: plain data.</summary>
/// <param name="Description">Name, summary and parameters as declared.</param>
/// <param name="Tiles">The placed tiles.</param>
public sealed record LayoutScriptResult(PartDescription Description, IReadOnlyList<Tile> Tiles);
