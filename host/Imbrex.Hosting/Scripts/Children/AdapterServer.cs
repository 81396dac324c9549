using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

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
            // Read first and answered then: what the script throws must not be taken for a fault of the message.
            return Frames.Take(message, Understand)();
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

    private Func<byte[]> Understand(BinaryReader reader)
    {
        AdapterQuestion question = AdapterMessages.ReadQuestion(reader);
        if (question == AdapterQuestion.Load)
        {
            byte[] assembly = reader.ReadBytes(), symbols = reader.ReadBytes();
            return () => Load(assembly, symbols);
        }
        if (question == AdapterQuestion.Describe)
            return () => AdapterMessages.Described(PlainResult.Checked(_script!.Describe(), "adapter"));
        int back = reader.ReadInt32();
        switch (question)
        {
            case AdapterQuestion.Build:
                (IReadOnlyDictionary<string, string> given, BackSpec spec) = AdapterMessages.ReadBuild(reader);
                return () => Build(back, given, spec);
            case AdapterQuestion.Place:
                double[] positions = AdapterMessages.ReadPositions(reader);
                return () => AdapterMessages.Placed(_backs[back].Place(positions));
            case AdapterQuestion.Nearest:
                CarriageTarget target = AdapterMessages.ReadTarget(reader);
                return () => Nearest(_backs[back], target);
            case AdapterQuestion.Misses:
                PlanePoint missed = AdapterMessages.ReadPoint(reader), offset = AdapterMessages.ReadPoint(reader);
                return () => AdapterMessages.Missed([.. _backs[back].Misses(missed, offset)]);
            default:
                throw new InvalidDataException();
        }
    }

    private byte[] Load(byte[] assembly, byte[] symbols)
    {
        if (MetadataGate.Refuse(assembly, AllowList.Shared) is { } refused)
            return ChildMessages.Fault(new(false, $"The compiled script would use {refused}, which a layout or adapter script may not.", null, 0, null));
        _backs.Clear();
        _script?.Dispose();
        _script = new(assembly, symbols);
        return AdapterMessages.Done();
    }

    private byte[] Build(int number, IReadOnlyDictionary<string, string> given, BackSpec spec)
    {
        Carriage carriage = _backs[number] = _script!.Build(given, spec);
        return AdapterMessages.Built(new(carriage.Tolerance, [.. carriage.Rotations], [.. spec.Axes.Select((_, axis) => carriage.PathPerUnit(axis))],
            [.. spec.Turns.Select(turn => carriage.Extremes(turn.Offset).ToArray())]));
    }

    private static byte[] Nearest(Carriage carriage, CarriageTarget target)
    {
        IReadOnlyList<double> positions = carriage.Nearest(target.Target, target.Offset, target.Rotation);
        return AdapterMessages.Found(new(positions, carriage.Place(positions)));
    }
}
