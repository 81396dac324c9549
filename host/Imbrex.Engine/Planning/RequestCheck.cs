using Imbrex.Engine.Clearance;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>Refuses requests that make no sense before anything is computed from them.</summary>
internal static class RequestCheck
{
    // Ten thousand tiles, of which each lies over a hundred others. What the rules compute of pairs takes seconds then, and minutes and gigabytes for as many tiles in one heap.
    private const int MostPairs = 500_000;

    public static void Validate(CheckRequest request)
    {
        Size(request.Sensor, "sensor");
        Size(request.Format, "format");
        NotNegative(request.Overlap, "overlap", "mm");
        Tolerances(request.Margins);
        MountDepth.Validate(request.Kit, request.Picture);
        if (request.Tiles.Count == 0)
            throw new InputException("There is no tile to judge.", "tiles", "Place at least one.");
        foreach (PlacedTile tile in request.Tiles)
        {
            if (!double.IsFinite(tile.Pose.Centre.X) || !double.IsFinite(tile.Pose.Centre.Y) || !double.IsFinite(tile.Pose.Rotation))
                throw new InputException($"Tile {tile.Id} has no finite position.", tile.Id, "Look for a division by zero in the layout.");
        }
        if (request.Tiles.GroupBy(tile => tile.Id, StringComparer.Ordinal).FirstOrDefault(group => group.Count() > 1) is { } twice)
            throw new InputException($"Two tiles are called '{twice.Key}'.", twice.Key, "Give each tile its own name.");
        RefuseHeaps(request);
    }

    private static void RefuseHeaps(CheckRequest request)
    {
        if (MostThatMeet(request) > MostPairs && new TilePairs([.. request.Tiles.Select(tile => new TileRectangle(tile.Id, tile.Pose.Centre, request.Sensor, tile.Pose.TotalRotation))]).Pairs().Skip(MostPairs).Any())
            throw new InputException($"{request.Tiles.Count} tiles lie in heaps: more than {MostPairs} pairs of them overlap.", "tiles", "Place each tile once. A take needs few frames over any one place.");
    }

    // At least as many as the pairs that overlap: of tiles in one square or in squares side by side, each as wide as a tile's diagonal. Counting squares is quicker than finding pairs.
    private static long MostThatMeet(CheckRequest request)
    {
        long all = request.Tiles.Count * (request.Tiles.Count - 1L) / 2;
        if (all <= MostPairs)
            return all;
        double width = Math.Sqrt(request.Sensor.Width * request.Sensor.Width + request.Sensor.Height * request.Sensor.Height);
        var squares = new Dictionary<(double, double), long>();
        foreach (PlacedTile tile in request.Tiles)
        {
            (double, double) square = (Math.Floor(tile.Pose.Centre.X / width), Math.Floor(tile.Pose.Centre.Y / width));
            squares[square] = squares.GetValueOrDefault(square) + 1;
        }
        long meeting = 0;
        foreach (((double x, double y), long count) in squares)
        {
            for (int down = -1; down <= 1; down++)
            {
                for (int across = -1; across <= 1; across++)
                    meeting += count * squares.GetValueOrDefault((x + across, y + down));
            }
        }
        return (meeting - request.Tiles.Count) / 2;
    }

    public static void Size(PlaneSize size, string name)
    {
        // Beyond a kilometre the snap of 1e-6 mm is lost in the numbers themselves.
        if (!(size.Width > 0 && size.Height > 0 && size.Width <= 1e6 && size.Height <= 1e6))
            throw new InputException(FormattableString.Invariant($"The {name} is {size.Width} x {size.Height} mm."), name, "Both sides must be above 0 and at most 1000000 mm.");
    }

    public static void Tolerances(Margins margins)
    {
        NotNegative(margins.Position.X, "tolerance", "mm");
        NotNegative(margins.Position.Y, "tolerance", "mm");
        NotNegative(margins.Angle, "angular tolerance", "degrees");
    }

    public static void NotNegative(double value, string name, string unit)
    {
        if (!double.IsFinite(value) || value < 0)
            throw new InputException(FormattableString.Invariant($"The {name} is {value} {unit}."), name, "It must be a number of at least 0.");
    }
}
