using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// The carriage of an adapter script, which lives in a child. What has been asked once is remembered: the same question gets the same answer, whatever the script does, and planning asks the
/// same again and again.
/// </summary>
internal sealed class ChildCarriage : Carriage
{
    // Answers kept; a search asks tens of thousands of times at most.
    private const int MostKept = 100_000;

    // Farther than any script may say that a carriage stands, and more than rounding may take from a stop, mm or degrees.
    private const double Farthest = 1e6;
    private const double Rounding = 1e-9;

    private readonly ChildAdapters _child;
    private readonly CompiledScript _script;
    private readonly BackSpec _spec;
    private readonly (int Number, byte[] Build) _back;
    private readonly string _where;
    private readonly CancellationToken _cancellation;
    private readonly CarriageFacts _facts;
    private readonly Lock _lock = new();
    private readonly Dictionary<Setting, CarriagePose> _places = [];
    private readonly Dictionary<CarriageTarget, CarriageAnswer> _nearest = [];

    public ChildCarriage(ChildAdapters child, CompiledScript script, BackSpec spec, int number, CancellationToken cancellation)
    {
        (_child, _script, _spec, _cancellation) = (child, script, spec, cancellation);
        _back = (number, AdapterMessages.Build(number, spec));
        int line = ScriptWords.LineOf(script.Source, "Carriage");
        _where = line > 0 ? script.Source.Place(line) : script.Source.Path;
        _facts = child.Ask(script, _back, null, reader => Check(AdapterMessages.ReadBuilt(reader), spec), _where, cancellation);
    }

    public override CarriageTolerance Tolerance => _facts.Tolerance;

    public override IEnumerable<(double From, double To)> Rotations => _facts.Rotations;

    public override double PathPerUnit(int axis) => _facts.Paths[axis];

    public override IEnumerable<PlanePoint> Extremes(PlanePoint offset) =>
        _facts.Extremes[_spec.Turns.Select((turn, i) => (turn, i)).First(pair => pair.turn.Offset == offset).i];

    public override CarriagePose Place(IReadOnlyList<double> positions)
    {
        var key = new Setting(positions);
        lock (_lock)
        {
            if (_places.TryGetValue(key, out CarriagePose known))
                return known;
        }
        CarriagePose pose = Ask(AdapterMessages.Place(_back.Number, positions), reader => Check(AdapterMessages.ReadPlaced(reader)));
        Keep(_places, key with { Positions = [.. positions] }, pose);
        return pose;
    }

    public override IReadOnlyList<double> Nearest(PlanePoint target, PlanePoint offset, double rotation)
    {
        var key = new CarriageTarget(target, offset, rotation);
        lock (_lock)
        {
            if (_nearest.TryGetValue(key, out CarriageAnswer? known))
                return known.Positions;
        }
        CarriageAnswer answer = Ask(AdapterMessages.Nearest(_back.Number, key), reader => Check(AdapterMessages.ReadFound(reader), _spec));
        Keep(_nearest, key, answer);
        Keep(_places, new(answer.Positions), answer.Pose);
        return answer.Positions;
    }

    public override IEnumerable<string> Misses(PlanePoint target, PlanePoint offset) => Ask(AdapterMessages.Misses(_back.Number, target, offset), AdapterMessages.ReadMissed);

    private T Ask<T>(byte[] question, Func<BinaryReader, T> read) => _child.Ask(_script, _back, question, read, _where, _cancellation);

    private void Keep<TKey, TValue>(Dictionary<TKey, TValue> kept, TKey key, TValue value)
        where TKey : notnull
    {
        lock (_lock)
        {
            if (kept.Count >= MostKept)
                kept.Clear();
            kept[key] = value;
        }
    }

    // No child is believed.

    /// <exception cref="InvalidDataException">No carriage of this specimen can be so.</exception>
    internal static CarriageFacts Check(CarriageFacts facts, BackSpec spec)
    {
        Demand(facts.Paths.Count == spec.Axes.Count && facts.Paths.All(path => path is >= 0 and <= Farthest));
        Demand(facts.Tolerance is { X: null or (>= 0 and <= Farthest), Y: null or (>= 0 and <= Farthest) });
        Demand(facts.Rotations.Count > 0 && facts.Rotations.All(range => range.From <= range.To && Math.Abs(range.From) <= Farthest && Math.Abs(range.To) <= Farthest));
        Demand(facts.Extremes.Count == spec.Turns.Count && facts.Extremes.All(places => places.Count > 0 && places.All(place => Math.Abs(place.X) <= Farthest && Math.Abs(place.Y) <= Farthest)));
        return facts;
    }

    /// <exception cref="InvalidDataException">The positions are none of this specimen, or the place is none.</exception>
    internal static CarriageAnswer Check(CarriageAnswer answer, BackSpec spec)
    {
        Demand(answer.Positions.Count == spec.Axes.Count && answer.Positions.Zip(spec.Axes).All(pair => Math.Abs(AxisStops.Of(pair.Second).Nearest(pair.First) - pair.First) <= Rounding));
        Check(answer.Pose);
        return answer;
    }

    private static CarriagePose Check(CarriagePose pose)
    {
        Demand(Math.Abs(pose.X) <= Farthest && Math.Abs(pose.Y) <= Farthest && Math.Abs(pose.Rotation) <= Farthest);
        return pose;
    }

    private static void Demand(bool holds)
    {
        if (!holds)
            throw new InvalidDataException();
    }
}
