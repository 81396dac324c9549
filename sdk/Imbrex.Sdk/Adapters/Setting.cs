using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters;

/// <summary>The mechanical state of a back for one tile: what the photographer dials in.</summary>
/// <param name="Positions">One position per axis of the back, in the axis's own direction: mm for slides, degrees for pivots.</param>
/// <param name="CameraTurn">How the body stands on the slide, before the back itself is turned over.</param>
/// <param name="BackTurned">Whether the back is seated turned over: half a turn in its own plane.</param>
public sealed record Setting(IReadOnlyList<double> Positions, Turn CameraTurn = Turn.None, bool BackTurned = false)
{
    /// <inheritdoc/>
    public bool Equals(Setting? other) =>
        other is not null && CameraTurn == other.CameraTurn && BackTurned == other.BackTurned && Positions.SequenceEqual(other.Positions);

    /// <inheritdoc/>
    public override int GetHashCode()
    {
        var hash = new HashCode();
        hash.Add(CameraTurn);
        hash.Add(BackTurned);
        foreach (double position in Positions)
            hash.Add(position);
        return hash.ToHashCode();
    }
}
