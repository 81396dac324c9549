using System.Buffers.Binary;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>
/// Two thousand damaged plans and frames: each is refused in words with nothing left behind, or, where the damage only hit pixels or what nobody reads, merged. A
/// crash of the imaging library would end the whole run, and a hang is cut off.
/// </summary>
public sealed class DamagedInputTests(ITestOutputHelper output) : IDisposable
{
    private const int Times = 500;

    private static readonly TimeSpan HangsAfter = TimeSpan.FromMinutes(1);

    private readonly Scratch _scratch = new();

    public void Dispose() => _scratch.Dispose();

    [Theory]
    [InlineData("plan.json", 1)]
    [InlineData("plain.tif", 2)]
    [InlineData("packed.tif", 3)]
    [InlineData("frame.jpg", 4)]
    public void Damage_is_refused_with_nothing_left_behind_or_does_no_harm(string kind, int seed)
    {
        byte[] plan = JsonDocuments.ToBytes(Plan), whole = kind == "plan.json" ? plan : Take(kind);
        if (kind == "plan.json")
            Take("plain.tif");
        // As the program does: what is wrong with a file is said in the exception.
        Log.SetLogHandler("VIPS", Enums.LogLevelFlags.All, (_, _, _) => { });
        string victim = kind == "plan.json" ? PlanFile : _scratch[$"frames/b{Path.GetExtension(kind)}"];
        File.WriteAllBytes(PlanFile, plan);
        Assert.Null(Merge());

        var random = new Random(seed);
        int refused = 0;
        for (int time = 0; time < Times; time++)
        {
            byte[] damaged = Damage.Do(whole, kind, random, out string what);
            File.WriteAllBytes(victim, damaged);
            Exception? failure = Merge();
            Assert.True(failure is null or InputException or RefusalException, $"{kind}, time {time}, {what}: {failure}");
            if (failure is null)
                continue;
            refused++;
            Assert.True(SmallTake.Snapshot(_scratch["out"]) is null or { Count: 0 }, $"{kind}, time {time}, {what}: something was left behind after: {failure.Message}");
        }
        output.WriteLine($"{kind}: {refused} of {Times} refused");
        Assert.InRange(refused, Times / 20, Times);
    }

    private static PlanDocument Plan { get; } = Plans.Of(Plans.Sensor(6, 4, 120, 80), 9.5, 3.5, Plans.Tile("a", 2, 0), Plans.Tile("b", -2, 0));

    private string PlanFile => _scratch["plan.json"];

    // Frames a and b of the kind; returns b's bytes.
    private byte[] Take(string kind)
    {
        new SimulatedCamera(new QuarryScene(3, 190, 70), Plan, new CameraFaults()).Shoot(_scratch["shot"], force: true);
        Directory.CreateDirectory(_scratch["frames"]);
        foreach ((string name, string shot) in new[] { ("a", "frame-001.tif"), ("b", "frame-002.tif") })
        {
            using Image image = Image.NewFromFile(_scratch["shot/" + shot]);
            string path = _scratch[$"frames/{name}{Path.GetExtension(kind)}"];
            if (kind == "frame.jpg")
                image.Jpegsave(path, q: 90);
            else if (kind == "packed.tif")
                image.Tiffsave(path, compression: Enums.ForeignTiffCompression.Deflate, predictor: Enums.ForeignTiffPredictor.Horizontal);
            else
                File.Copy(_scratch["shot/" + shot], path);
        }
        return File.ReadAllBytes(_scratch[$"frames/b{Path.GetExtension(kind)}"]);
    }

    private Exception? Merge()
    {
        if (Directory.Exists(_scratch["out"]))
            Directory.Delete(_scratch["out"], recursive: true);
        using var hang = new CancellationTokenSource(HangsAfter);
        try
        {
            PlanDocument plan = JsonDocuments.Read<PlanDocument>(PlanFile, PlanDocument.SchemaName);
            MergeRunner.Run(new() { Plan = plan, FramesFolder = _scratch["frames"], OutputFolder = _scratch["out"] }, new Nobody(), TimeProvider.System, hang.Token);
            return null;
        }
#pragma warning disable CA1031 // Whatever it is, the test looks at it.
        catch (Exception e)
#pragma warning restore CA1031
        {
            return e;
        }
    }

    private sealed class Nobody : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
        }
    }

    /// <summary>What can happen to a file.</summary>
    private static class Damage
    {
        public static byte[] Do(byte[] whole, string kind, Random random, out string what)
        {
            byte[] bytes = [.. whole];
            switch (kind == "plan.json" ? random.Next(10) : random.Next(kind.EndsWith(".tif", StringComparison.Ordinal) ? 7 : 5))
            {
                case 0:
                    what = "cut short";
                    return bytes[..random.Next(bytes.Length)];
                case 1:
                    what = "single bytes";
                    for (int i = random.Next(1, 6); i > 0; i--)
                        bytes[Place(bytes, random)] = (byte)random.Next(256);
                    return bytes;
                case 2:
                    what = "zeroed region";
                    Region(bytes, random).Clear();
                    return bytes;
                case 3:
                    what = "random region";
                    random.NextBytes(Region(bytes, random));
                    return bytes;
                case 4:
                    what = "shifted rest";
                    int at = random.Next(bytes.Length), length = random.Next(1, 40);
                    return [.. bytes[..at], .. bytes[Math.Min(at + length, bytes.Length)..]];
                default:
                    if (kind == "plan.json")
                    {
                        what = "digits";
                        Digits(bytes, random);
                        return bytes;
                    }
                    what = "directory";
                    Directory(bytes, random);
                    return bytes;
            }
        }

        // Heads of files decide more than their pixels: every second time near the beginning.
        private static int Place(byte[] bytes, Random random) => random.Next(random.Next(2) == 0 ? Math.Min(bytes.Length, 800) : bytes.Length);

        private static Span<byte> Region(byte[] bytes, Random random)
        {
            int at = Place(bytes, random);
            return bytes.AsSpan(at, Math.Min(random.Next(1, 300), bytes.Length - at));
        }

        // What a slip of the hand makes of a number.
        private static void Digits(byte[] bytes, Random random)
        {
            int[] digits = [.. Enumerable.Range(0, bytes.Length).Where(i => bytes[i] is >= (byte)'0' and <= (byte)'9' or (byte)'.' or (byte)'-')];
            ReadOnlySpan<byte> others = "0123456789.-e"u8;
            for (int i = random.Next(1, 4); i > 0; i--)
                bytes[digits[random.Next(digits.Length)]] = others[random.Next(others.Length)];
        }

        // A type, count, value or offset of a random entry of a TIFF's first directory, or the directory's own place.
        private static void Directory(byte[] bytes, Random random)
        {
            int directory = BinaryPrimitives.ReadInt32LittleEndian(bytes.AsSpan(4)), entries = BinaryPrimitives.ReadUInt16LittleEndian(bytes.AsSpan(directory));
            uint[] tempting = [0, 1, 2, 0xFF, 0x7FFF_FFFF, 0x8000_0000, 0xFFFF_FFFF, (uint)bytes.Length, (uint)bytes.Length - 1, (uint)directory, (uint)random.Next()];
            uint value = tempting[random.Next(tempting.Length)];
            int entry = directory + 2 + 12 * random.Next(entries);
            switch (random.Next(5))
            {
                case 0:
                    BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(4), value);
                    break;
                case 1:
                    BinaryPrimitives.WriteUInt16LittleEndian(bytes.AsSpan(entry + random.Next(2) * 2), (ushort)value);
                    break;
                case 2:
                    BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(entry + 4), value);
                    break;
                default:
                    BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(entry + 8), value);
                    break;
            }
        }
    }
}
