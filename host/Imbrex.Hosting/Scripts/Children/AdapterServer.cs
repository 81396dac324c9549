using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>The child's side of adapter scripts: holds one script and its carriages, and answers until the input ends. All sums of the inverse are done here, beside the script's function.</summary>
internal sealed class AdapterServer : IDisposable
{
    private readonly Dictionary<int, Carriage> _backs = [];
    private AdapterRun? _script;

    /// <summary>Answers one question; a fault is an answer too.</summary>
    public byte[] Answer(byte[] message)
    {
        try
        {
            return Frames.Take(message, reader => AdapterMessages.ReadQuestion(reader) switch
            {
                AdapterQuestion.Load => Load(reader.ReadBytes(), reader.ReadBytes()),
                AdapterQuestion.Describe => AdapterMessages.Described(PlainResult.Checked(_script!.Describe(), "adapter")),
                AdapterQuestion.Build => Build(reader),
                AdapterQuestion.Place => AdapterMessages.Placed(_backs[reader.ReadInt32()].Place(AdapterMessages.ReadPositions(reader))),
                AdapterQuestion.Nearest => Nearest(_backs[reader.ReadInt32()], AdapterMessages.ReadTarget(reader)),
                AdapterQuestion.Misses => Misses(_backs[reader.ReadInt32()], reader),
                _ => throw new InvalidDataException(),
            });
        }
        catch (OutOfMemoryException e)
        {
            return ChildMessages.Fault(ScriptFaults.TooMuchMemory with { Line = ScriptFaults.Plain(e).Line });
        }
        catch (Exception e)
        {
            return ChildMessages.Fault(ScriptFaults.Plain(e) with { Where = (e as ImbrexException)?.Where });
        }
    }

    public void Dispose() => _script?.Dispose();

    private byte[] Load(byte[] assembly, byte[] symbols)
    {
        if (MetadataGate.Refuse(assembly, AllowList.Shared) is { } refused)
            return ChildMessages.Fault(new(false, $"The compiled script would use {refused}, which a layout or adapter script may not.", null, 0, null));
        _backs.Clear();
        _script?.Dispose();
        _script = new(assembly, symbols);
        return AdapterMessages.Done();
    }

    private byte[] Build(BinaryReader reader)
    {
        int number = reader.ReadInt32();
        (IReadOnlyDictionary<string, string> given, BackSpec spec) = AdapterMessages.ReadBuild(reader);
        Carriage carriage = _backs[number] = _script!.Build(given, spec);
        return AdapterMessages.Built(new(carriage.Tolerance, [.. carriage.Rotations], [.. spec.Axes.Select((_, axis) => carriage.PathPerUnit(axis))],
            [.. spec.Turns.Select(turn => carriage.Extremes(turn.Offset).ToArray())]));
    }

    private static byte[] Nearest(Carriage carriage, CarriageTarget target)
    {
        IReadOnlyList<double> positions = carriage.Nearest(target.Target, target.Offset, target.Rotation);
        return AdapterMessages.Found(new(positions, carriage.Place(positions)));
    }

    private static byte[] Misses(Carriage carriage, BinaryReader reader) =>
        AdapterMessages.Missed([.. carriage.Misses(AdapterMessages.ReadPoint(reader), AdapterMessages.ReadPoint(reader))]);
}
