using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>A fault as plain data.</summary>
/// <param name="IsRefusal">Whether the script refused the request, rather than failed.</param>
/// <param name="What">What is wrong.</param>
/// <param name="Where">The place, where the child knows it.</param>
/// <param name="Line">The script's line, or 0.</param>
/// <param name="Remedy">What to do.</param>
internal sealed record ChildFault(bool IsRefusal, string What, string? Where, int Line, string? Remedy);

/// <summary>What goes through the pipes. All texts that come back are made plain.</summary>
internal static class ChildMessages
{
    private const int MostGiven = 1000;

    public static byte[] Execute(byte[] assembly, byte[] symbols, LayoutScriptRequest request) => Frames.Make(writer =>
    {
        writer.WriteBytes(assembly);
        writer.WriteBytes(symbols);
        writer.Write(request.IsProbe);
        writer.Write(request.Given.Count);
        foreach ((string name, string value) in request.Given)
        {
            writer.Write(name);
            writer.Write(value);
        }
        LayoutRequest asked = request.Request;
        foreach (double number in new[] { asked.Sensor.Width, asked.Sensor.Height, asked.Format.Width, asked.Format.Height, asked.Overlap, asked.PositionTolerance.X, asked.PositionTolerance.Y, asked.AngularTolerance,
            asked.Limits.Left, asked.Limits.Top, asked.Limits.Right, asked.Limits.Bottom })
        {
            writer.Write(number);
        }
        writer.Write(asked.Limits.Turns.Count);
        foreach (Turn turn in asked.Limits.Turns)
            writer.Write((int)turn);
    });

    public static (byte[] Assembly, byte[] Symbols, LayoutScriptRequest Request) Execute(byte[] message) => Frames.Take(message, reader =>
    {
        byte[] assembly = reader.ReadBytes(), symbols = reader.ReadBytes();
        bool probe = reader.ReadBoolean();
        var given = new Dictionary<string, string>(StringComparer.Ordinal);
        for (int left = Count(reader, MostGiven); left > 0; left--)
            given.Add(reader.ReadString(), reader.ReadString());
        double[] n = [.. Enumerable.Range(0, 12).Select(_ => reader.ReadDouble())];
        Turn[] turns = [.. Enumerable.Range(0, Count(reader, 4)).Select(_ => (Turn)reader.ReadInt32())];
        var request = new LayoutRequest
        {
            Sensor = new(n[0], n[1]),
            Format = new(n[2], n[3]),
            Overlap = n[4],
            PositionTolerance = new(n[5], n[6]),
            AngularTolerance = n[7],
            Limits = new(n[8], n[9], n[10], n[11], Array.AsReadOnly(turns)),
        };
        return (assembly, symbols, new LayoutScriptRequest(request, given, probe));
    });

    public static byte[] Result(LayoutScriptResult result) => Frames.Make(writer =>
    {
        writer.Write(true);
        Write(writer, result.Description);
        writer.Write(result.Tiles.Count);
        foreach (Tile tile in result.Tiles)
        {
            writer.Write(tile.Pose.Centre.X);
            writer.Write(tile.Pose.Centre.Y);
            writer.Write((int)tile.Pose.Turn);
            writer.Write(tile.Pose.Rotation);
            writer.WriteText(tile.Id);
        }
    });

    public static byte[] Fault(ChildFault fault) => Frames.Make(writer =>
    {
        writer.Write(false);
        writer.Write(fault.IsRefusal);
        writer.Write(Sentence(fault.What));
        writer.WriteText(fault.Where is null ? null : Quote(fault.Where));
        writer.Write(fault.Line);
        writer.WriteText(fault.Remedy is null ? null : Sentence(fault.Remedy));
    });

    /// <summary>The result, or the fault.</summary>
    public static (LayoutScriptResult? Result, ChildFault? Fault) Answer(byte[] message) => Frames.Take<(LayoutScriptResult?, ChildFault?)>(message, reader =>
        reader.ReadBoolean() ? (ReadResult(reader), null) : (null, ReadFault(reader)));

    public static byte[] Compile(ScriptSource source, ScriptKind kind) => Frames.Make(writer =>
    {
        writer.Write((byte)kind);
        writer.Write(source.Path);
        writer.WriteBytes(source.Bytes);
    });

    public static (ScriptSource Source, ScriptKind Kind) Compile(byte[] message) => Frames.Take(message, reader =>
    {
        var kind = (ScriptKind)reader.ReadByte();
        return (ScriptSource.Parse(reader.ReadString(), reader.ReadBytes()), kind);
    });

    public static byte[] Compiled(CompiledScript script) => Frames.Make(writer =>
    {
        writer.Write(true);
        writer.WriteBytes(script.Assembly);
        writer.WriteBytes(script.Symbols);
    });

    /// <summary>The compiled script, or the fault.</summary>
    public static (byte[]? Assembly, byte[]? Symbols, ChildFault? Fault) Compilation(byte[] message) => Frames.Take<(byte[]?, byte[]?, ChildFault?)>(message, reader =>
        reader.ReadBoolean() ? (reader.ReadBytes(), reader.ReadBytes(), null) : (null, null, ReadFault(reader)));

    /// <summary>Writes a description.</summary>
    public static void Write(BinaryWriter writer, PartDescription description)
    {
        writer.Write(description.Name);
        writer.Write(description.Summary);
        writer.Write(description.Parameters.Count);
        foreach (ParameterDefinition parameter in description.Parameters)
        {
            writer.Write(parameter.Name);
            writer.Write(parameter.Summary);
            writer.Write(parameter.IsWhole);
            writer.Write((int)parameter.Unit);
            writer.Write(parameter.Default);
            writer.Write(parameter.Minimum);
            writer.Write(parameter.Maximum);
        }
    }

    /// <summary>Reads a description.</summary>
    public static PartDescription ReadDescription(BinaryReader reader)
    {
        string name = reader.ReadString(), summary = reader.ReadString();
        return new(name, summary, [.. Enumerable.Range(0, Count(reader, PlainResult.MostParameters)).Select(_ => ReadParameter(reader))]);
    }

    private static LayoutScriptResult ReadResult(BinaryReader reader)
    {
        PartDescription description = ReadDescription(reader);
        Tile[] tiles = [.. Enumerable.Range(0, Count(reader, LayoutScript.MaximumTiles)).Select(_ => ReadTile(reader))];
        return new(description, tiles);
    }

    private static ParameterDefinition ReadParameter(BinaryReader reader)
    {
        string name = reader.ReadString(), summary = reader.ReadString();
        bool whole = reader.ReadBoolean();
        var unit = (Unit)reader.ReadInt32();
        (double @default, double minimum, double maximum) = (reader.ReadDouble(), reader.ReadDouble(), reader.ReadDouble());
        return whole
            ? ParameterDefinition.Count(name, summary, checked((int)@default), checked((int)minimum), checked((int)maximum))
            : ParameterDefinition.Number(name, summary, @default, unit, minimum, maximum);
    }

    private static Tile ReadTile(BinaryReader reader)
    {
        var centre = new PlanePoint(reader.ReadDouble(), reader.ReadDouble());
        return new(new(centre, (Turn)reader.ReadInt32(), reader.ReadDouble()), reader.ReadText());
    }

    /// <summary>Reads a fault; its texts are made plain.</summary>
    public static ChildFault ReadFault(BinaryReader reader) =>
        new(reader.ReadBoolean(), Sentence(reader.ReadString()), reader.ReadText() is { } where ? Quote(where) : null, reader.ReadInt32(), reader.ReadText() is { } remedy ? Sentence(remedy) : null);

    // One line: with more of them a script could write what looks like the program's own words. A text that holds a stack trace ends where that begins.
    private static string Sentence(string text)
    {
        string line = text.ReplaceLineEndings("\n");
        int trace = line.IndexOf("\n   at ", StringComparison.Ordinal);
        return PlainResult.Text((trace < 0 ? line : line[..trace]).Replace('\n', ' '), PlainResult.LongestMessage);
    }

    // A place shows the line itself.
    private static string Quote(string text) => PlainResult.Text(text, PlainResult.LongestMessage, lines: true);

    /// <summary>A count that cannot be too large.</summary>
    public static int Count(BinaryReader reader, int most) => reader.ReadInt32() is var count && count >= 0 && count <= most ? count : throw new InvalidDataException();
}
