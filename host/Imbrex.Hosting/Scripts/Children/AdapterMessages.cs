using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>What a child that holds an adapter script is asked.</summary>
internal enum AdapterQuestion : byte
{
    /// <summary>Load a script.</summary>
    Load,

    /// <summary>What the script is.</summary>
    Describe,

    /// <summary>Make the carriage of a specimen, and tell of it.</summary>
    Build,

    /// <summary>Where the carriage stands.</summary>
    Place,

    /// <summary>Which positions come nearest to a target.</summary>
    Nearest,

    /// <summary>Why a target is not reached.</summary>
    Misses,
}

/// <summary>What is told of a carriage once.</summary>
/// <param name="Tolerance">How far its axes may miss.</param>
/// <param name="Rotations">From where to where it turns.</param>
/// <param name="Paths">Path for one unit of each axis, mm.</param>
/// <param name="Extremes">For each turn of the body, the places that hold all that can be reached.</param>
internal sealed record CarriageFacts(
    CarriageTolerance Tolerance, IReadOnlyList<(double From, double To)> Rotations, IReadOnlyList<double> Paths, IReadOnlyList<IReadOnlyList<PlanePoint>> Extremes);

/// <summary>A target of the inverse.</summary>
internal readonly record struct CarriageTarget(PlanePoint Target, PlanePoint Offset, double Rotation);

/// <summary>What the inverse answers.</summary>
internal sealed record CarriageAnswer(IReadOnlyList<double> Positions, CarriagePose Pose);

/// <summary>What goes through the pipes to and from a child that holds an adapter script. Every answer begins with whether it is one, or a fault.</summary>
internal static class AdapterMessages
{
    private const int MostGiven = 1000;
    private const int MostAxes = 64;
    private const int MostStops = 10_000;

    public static byte[] Load(byte[] assembly, byte[] symbols) => Ask(AdapterQuestion.Load, writer =>
    {
        writer.WriteBytes(assembly);
        writer.WriteBytes(symbols);
    });

    public static byte[] Describe() => Ask(AdapterQuestion.Describe, _ => { });

    public static byte[] Build(int back, BackSpec spec) => Ask(AdapterQuestion.Build, writer =>
    {
        writer.Write(back);
        IReadOnlyDictionary<string, string> given = spec.Parameters.ToText();
        writer.Write(given.Count);
        foreach ((string name, string value) in given)
        {
            writer.Write(name);
            writer.Write(value);
        }
        writer.Write(spec.AngularTolerance);
        Write(writer, spec.Axes, axis =>
        {
            writer.Write(axis.IsPivot);
            Numbers(writer, axis.Minimum, axis.Maximum, axis.Tolerance, axis.Backlash);
            Write(writer, axis.Detents, writer.Write);
        });
        Write(writer, spec.Turns, turn =>
        {
            writer.Write((int)turn.Turn);
            Numbers(writer, turn.Offset.X, turn.Offset.Y, turn.Error);
        });
        Write(writer, spec.Seats, seat =>
        {
            writer.Write(seat.BackTurned);
            Numbers(writer, seat.Centre.X, seat.Centre.Y, seat.Angle, seat.Tolerance ?? -1);
        });
    });

    public static byte[] Place(int back, IReadOnlyList<double> positions) => Ask(AdapterQuestion.Place, writer =>
    {
        writer.Write(back);
        Write(writer, positions, writer.Write);
    });

    public static byte[] Nearest(int back, CarriageTarget target) => Ask(AdapterQuestion.Nearest, writer =>
    {
        writer.Write(back);
        Numbers(writer, target.Target.X, target.Target.Y, target.Offset.X, target.Offset.Y, target.Rotation);
    });

    public static byte[] Misses(int back, PlanePoint target, PlanePoint offset) => Ask(AdapterQuestion.Misses, writer =>
    {
        writer.Write(back);
        Numbers(writer, target.X, target.Y, offset.X, offset.Y);
    });

    // The child's side.

    public static AdapterQuestion ReadQuestion(BinaryReader reader) => (AdapterQuestion)reader.ReadByte();

    public static (IReadOnlyDictionary<string, string> Given, BackSpec Spec) ReadBuild(BinaryReader reader)
    {
        var given = new Dictionary<string, string>(StringComparer.Ordinal);
        for (int left = ChildMessages.Count(reader, MostGiven); left > 0; left--)
            given.Add(reader.ReadString(), reader.ReadString());
        double angular = reader.ReadDouble();
        AxisSpec[] axes = Read(reader, MostAxes, () => ReadAxis(reader));
        TurnSpec[] turns = Read(reader, 4, () => new TurnSpec((Turn)reader.ReadInt32(), ReadPoint(reader), reader.ReadDouble()));
        SeatSpec[] seats = Read(reader, 2, () => new SeatSpec(reader.ReadBoolean(), ReadPoint(reader), reader.ReadDouble(), reader.ReadDouble() is var miss && miss >= 0 ? miss : null));
        return (given, new() { Axes = axes, Turns = turns, Seats = seats, AngularTolerance = angular });
    }

    public static double[] ReadPositions(BinaryReader reader) => Read(reader, MostAxes, reader.ReadDouble);

    public static CarriageTarget ReadTarget(BinaryReader reader) => new(ReadPoint(reader), ReadPoint(reader), reader.ReadDouble());

    public static PlanePoint ReadPoint(BinaryReader reader) => new(reader.ReadDouble(), reader.ReadDouble());

    public static byte[] Done() => Answer(_ => { });

    public static byte[] Described(PartDescription description) => Answer(writer => ChildMessages.Write(writer, description));

    public static byte[] Built(CarriageFacts facts) => Answer(writer =>
    {
        writer.Write(facts.Tolerance.X ?? -1);
        writer.Write(facts.Tolerance.Y ?? -1);
        Write(writer, facts.Rotations, range => Numbers(writer, range.From, range.To));
        Write(writer, facts.Paths, writer.Write);
        Write(writer, facts.Extremes, places => Write(writer, places, place => Numbers(writer, place.X, place.Y)));
    });

    public static byte[] Placed(CarriagePose pose) => Answer(writer => Write(writer, pose));

    public static byte[] Found(CarriageAnswer answer) => Answer(writer =>
    {
        Write(writer, answer.Positions, writer.Write);
        Write(writer, answer.Pose);
    });

    public static byte[] Missed(IReadOnlyList<string> words) => Answer(writer => Write(writer, words, writer.Write));

    // The program's side.

    public static CarriageFacts ReadBuilt(BinaryReader reader)
    {
        double x = reader.ReadDouble(), y = reader.ReadDouble();
        (double, double)[] rotations = Read(reader, MostStops, () => (reader.ReadDouble(), reader.ReadDouble()));
        double[] paths = Read(reader, MostAxes, reader.ReadDouble);
        return new(new(x < 0 ? null : x, y < 0 ? null : y), rotations, paths, Read(reader, 4, () => (IReadOnlyList<PlanePoint>)Read(reader, MostAxes, () => ReadPoint(reader))));
    }

    public static CarriagePose ReadPlaced(BinaryReader reader) => new(reader.ReadDouble(), reader.ReadDouble(), reader.ReadDouble());

    public static CarriageAnswer ReadFound(BinaryReader reader) => new(ReadPositions(reader), ReadPlaced(reader));

    public static string[] ReadMissed(BinaryReader reader) => Read(reader, MostAxes, () => PlainResult.Text(reader.ReadString(), PlainResult.LongestMessage));

    private static AxisSpec ReadAxis(BinaryReader reader) => new()
    {
        IsPivot = reader.ReadBoolean(),
        Minimum = reader.ReadDouble(),
        Maximum = reader.ReadDouble(),
        Tolerance = reader.ReadDouble(),
        Backlash = reader.ReadDouble(),
        Detents = Read(reader, MostStops, reader.ReadDouble),
    };

    private static void Write(BinaryWriter writer, CarriagePose pose) => Numbers(writer, pose.X, pose.Y, pose.Rotation);

    private static byte[] Ask(AdapterQuestion question, Action<BinaryWriter> write) => Frames.Make(writer =>
    {
        writer.Write((byte)question);
        write(writer);
    });

    private static byte[] Answer(Action<BinaryWriter> write) => Frames.Make(writer =>
    {
        writer.Write(true);
        write(writer);
    });

    private static void Numbers(BinaryWriter writer, params ReadOnlySpan<double> numbers)
    {
        foreach (double number in numbers)
            writer.Write(number);
    }

    private static void Write<T>(BinaryWriter writer, IReadOnlyList<T> items, Action<T> write)
    {
        writer.Write(items.Count);
        foreach (T item in items)
            write(item);
    }

    private static T[] Read<T>(BinaryReader reader, int most, Func<T> read)
    {
        var items = new T[ChildMessages.Count(reader, most)];
        for (int i = 0; i < items.Length; i++)
            items[i] = read();
        return items;
    }
}
