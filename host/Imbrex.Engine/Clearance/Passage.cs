using Imbrex.Engine.Planning;
using Imbrex.Sdk.Adapters;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Clearance;

/// <summary>A moment of the take at which parts may collide: a tile's setting, or the way from one to the next.</summary>
/// <param name="Tiles">The tile, or the two.</param>
/// <param name="From">The setting, or that at the beginning.</param>
/// <param name="To">The setting at the end, or null where nothing moves.</param>
/// <param name="Ways">What meets on each way, the usual one first; more than one only where something meets on the first.</param>
internal sealed record Passage(IReadOnlyList<string> Tiles, Setting From, Setting? To, IReadOnlyList<Crossing> Ways)
{
    /// <summary>The first way on which nothing collides at a depth of the mount, or null.</summary>
    public Crossing? Clear(double? depth) => Ways.FirstOrDefault(way => way.Meetings.All(meeting => !meeting.Meets || !meeting.Depths.Block(depth)));
}

/// <summary>What meets on one way, or while nothing moves.</summary>
internal sealed record Crossing(Way? Way, IReadOnlyList<Meeting> Meetings);

/// <summary>All passages of a take in shooting order.</summary>
internal sealed class Passages(Stance stance, IReadOnlyList<Solid> parts)
{
    private readonly Solid[] _moving = [.. parts.Where(part => part.Holder is Holder.Body or Holder.Carriage)];
    private readonly Solid[] _standing = [.. parts.Where(part => part.Holder is not Holder.Body)];

    private readonly Dictionary<(Leg Leg, bool OnCamera), Meeting[]> _known = [];

    /// <summary>The passages of a kit; null where no parts are known that could meet.</summary>
    public static Passages? Of(CheckRequest request)
    {
        if (request is not { Kit: { } kit, Back: { } back })
            return null;
        IReadOnlyList<Solid> parts = Solid.Of(kit);
        bool moves = parts.Any(part => part.Holder is Holder.Body or Holder.Carriage), stands = parts.Any(part => part.Holder is not Holder.Body);
        return moves && stands ? new(new(kit, back), parts) : null;
    }

    /// <summary>Follows the tiles that have a setting.</summary>
    public IReadOnlyList<Passage> Through(IReadOnlyList<PlacedTile> tiles)
    {
        var passages = new List<Passage>();
        PlacedTile? last = null;
        foreach (PlacedTile tile in tiles.Where(tile => tile.Setting is not null))
        {
            if (last is not null)
                passages.Add(Between([last.Id, tile.Id], last.Setting!, tile.Setting!));
            passages.Add(Standing([tile.Id], tile.Setting!));
            last = tile;
        }
        return passages;
    }

    /// <summary>Where nothing moves.</summary>
    public Passage Standing(IReadOnlyList<string> tiles, Setting setting) =>
        new(tiles, setting, null, [new(null, Meet(part => [Sweep.Place(part.Outline, stance.At(part.Holder, setting))], setting, null, onCamera: true))]);

    /// <summary>From one setting to the next. A back that is turned over is off the camera while the body is moved on it.</summary>
    public Passage Between(IReadOnlyList<string> tiles, Setting from, Setting to)
    {
        bool onCamera = to.BackTurned == from.BackTurned;
        var ways = new List<Crossing>();
        foreach (Way way in Way.Between(from, to with { BackTurned = from.BackTurned }))
        {
            Crossing crossing = new(way, [.. way.Legs.SelectMany(leg => On(leg, onCamera))]);
            ways.Add(crossing);
            if (crossing.Meetings.All(meeting => !meeting.Meets))
                break;
        }
        return new(tiles, from, to, ways);
    }

    // Ways between the same settings share legs.
    private Meeting[] On(Leg leg, bool onCamera)
    {
        if (!_known.TryGetValue((leg, onCamera), out Meeting[]? meetings))
            _known[(leg, onCamera)] = meetings = Meet(part => Sweep.Pieces(part.Outline, leg.Motions(stance, part.Holder)), leg.From, leg, onCamera);
        return meetings;
    }

    private Meeting[] Meet(Func<Solid, IReadOnlyList<Polygon>> covers, Setting from, Leg? leg, bool onCamera)
    {
        var meetings = new List<Meeting>();
        foreach (Solid moving in _moving)
        {
            var covered = new Covered(covers(moving));
            foreach (Solid standing in _standing.Where(part => Meets(moving, part, leg, onCamera)))
            {
                if (BlockedDepths.Between(moving, standing, stance.SeatDepth(from.BackTurned)) is not { } depths)
                    continue;
                meetings.Add(new(moving, standing, covered, Outline(standing, from), leg, depths));
            }
        }
        return [.. meetings];
    }

    // While the carriage goes, body and carriage keep together; while the body turns, its carriage stands.
    private static bool Meets(Solid moving, Solid standing, Leg? leg, bool onCamera) => standing.Holder switch
    {
        Holder.Camera => onCamera,
        Holder.Carriage => moving.Holder == Holder.Body && leg is not { Axis: not null },
        _ => true,
    };

    private Polygon Outline(Solid standing, Setting from) => standing.Holder == Holder.Carriage
        ? Sweep.Place(standing.Outline, stance.At(Holder.Carriage, from))
        : stance.Standing(standing, from.BackTurned);
}
