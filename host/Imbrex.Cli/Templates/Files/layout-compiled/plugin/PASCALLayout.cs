using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace PASCALParts;

/// <summary>Level tiles in rows, as few as the format needs.</summary>
/// <remarks>The host finds public classes that implement IMosaicLayout and have a constructor without parameters. A layout keeps no state: the same request gives the same tiles.</remarks>
public sealed class PASCALLayout : IMosaicLayout
{
    // What rounding may carry a tile beyond a limit, mm.
    private const double Rounding = 1e-9;

    /// <summary>Help, validation, the bench's sliders and the tests all read this declaration.</summary>
    public PartDescription Description { get; } = new("NAME", "Level tiles in rows, as few as the format needs",
        ParameterDefinition.Number("more-overlap", "Overlap on top of what is required", 0, Unit.Millimetre, 0, 10));

    /// <summary>Places the tiles. Lengths are millimetres on the image plane, seen from behind: x to the right, y down.</summary>
    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        // Level is level: a body upside down covers the same rectangle.
        Turn turn = request.Limits.Turns.Contains(Turn.None) ? Turn.None : Turn.Half;
        if (!request.Limits.Turns.Contains(turn))
            throw new RefusalException("The layout needs the body level (0 or 180 degrees), and the back does not offer it.", "turns", "Use a back that holds the body level.");

        // What is left of a tile when the back misses its place as far as it may. What is computed with it is what the check grants.
        PlaneSize tile = request.UsableTile(turn);
        double overlap = request.Overlap + request.Parameters["more-overlap"];
        IReadOnlyList<double> across = Places(request.Format.Width, tile.Width, overlap, request.Limits.Left, request.Limits.Right, "across");
        IReadOnlyList<double> down = Places(request.Format.Height, tile.Height, overlap, request.Limits.Top, request.Limits.Bottom, "down");
        if ((long)across.Count * down.Count > 10_000)
            throw new RefusalException($"{across.Count} x {down.Count} tiles would be needed, and a plan holds 10000.", "format", "Ask for a smaller format or less overlap.");
        return [.. from y in down from x in across select new Tile(new(new(x, y), turn))];
    }

    // n tiles of one length that share an overlap with their neighbours reach over n (length - overlap) + overlap. They are spread so that the outer ones
    // end where the format ends.
    private static IReadOnlyList<double> Places(double whole, double length, double overlap, double least, double most, string direction)
    {
        if (length <= overlap)
            throw new RefusalException($"A tile is certain for {length:0.###} mm {direction}, and {overlap:0.###} mm of it are to be shared.", "overlap", "Ask for less overlap.");
        double needed = Math.Max(1, Math.Ceiling((whole - overlap) / (length - overlap) - 1e-9));
        if (needed > 10_000)
            throw new RefusalException($"{needed:0} tiles would be needed {direction}, and a plan holds 10000.", "format", "Ask for a smaller format or less overlap.");
        int count = (int)needed;
        double step = count > 1 ? (whole - length) / (count - 1) : 0, outer = step * (count - 1) / 2;
        if (-outer < least - Rounding || outer > most + Rounding)
            throw new RefusalException($"The outer tiles would stand {outer:0.###} mm from the axis {direction}; the back reaches from {least:0.###} to {most:0.###} mm.", "limits", "Ask for a smaller format.");
        return EvenSpread.Centred(count, step);
    }
}
