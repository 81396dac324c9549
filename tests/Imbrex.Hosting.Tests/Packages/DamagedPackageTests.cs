using System.Buffers.Binary;
using System.Text;
using Imbrex.Hosting.Packages;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Hosting.Tests.Packages;

/// <summary>Two thousand archives damaged at random, through what <c>imbrex plugin add</c> runs through: refused in words, or installed exactly as packed.</summary>
public sealed class DamagedPackageTests : IDisposable
{
    private const int Archives = 2000;

    // What an archive of some kilobytes may make the reader allocate, whatever it promises.
    private const long MostAllocated = 24 << 20;

    private static readonly string[] Names = ["../../../evil.csx", "/tmp/evil.csx", "content/..", "content/A.CSX", "C:\\evil.csx", "content/aux.csx", "", "content/a.csx:x"];

    private readonly PackageBench _bench = new();

    public void Dispose() => _bench.Dispose();

    [Theory]
    [InlineData(1, "author", "batch")]
    [InlineData(2, null, "layout")]
    public void Damaged_archives_are_refused_or_install_as_packed(int seed, string? key, string kind)
    {
        byte[] whole = _bench.Make(key, PackageBench.Manifest(kind: kind), ("a.csx", "Tile(0, 0);"), ("below/readme.md", string.Concat(Enumerable.Repeat("About it. ", 300))), ("drawing.svg", "<svg xmlns='http://www.w3.org/2000/svg'/>")).Bytes;
        Dictionary<string, string> packed = Package.Parse(whole, "p").Files.ToDictionary(file => file.Path, file => file.Sha256, StringComparer.Ordinal);
        var random = new Random(seed);
        string archive = Path.Combine(_bench.Root, "damaged.nupkg");
        string[] outside = [.. _bench.Everything()];
        int refused = 0, installed = 0;
        for (int i = 0; i < Archives / 2; i++)
        {
            File.WriteAllBytes(archive, Damage(whole, random));
            long before = GC.GetAllocatedBytesForCurrentThread();
            try
            {
                Installed result = _bench.Install(Package.Read(archive));
                Assert.Equal(packed, result.Package.Files.ToDictionary(file => file.Path, file => file.Sha256, StringComparer.Ordinal));
                Assert.Null(_bench.Store.Damage(result.Package));
                _bench.Store.Remove(result.Package.Name);
                installed++;
            }
            catch (ImbrexException e)
            {
                Assert.DoesNotContain('\u001b', e.Message);
                refused++;
            }
            Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, MostAllocated);
            Assert.Empty(Directory.Exists(_bench.PackagesFolder) ? Directory.EnumerateDirectories(_bench.PackagesFolder) : []);
        }

        File.Delete(archive);
        string[] others = ["lock.json", "trust.json"];
        Assert.Equal(outside, _bench.Everything().Where(file => !others.Any(other => file.Contains(other, StringComparison.Ordinal))));
        // Damage that does not matter (to dates in both places, to version fields) exists, and is rare.
        Assert.Equal(Archives / 2, refused + installed);
        Assert.InRange(installed, 1, Archives / 10);
    }

    private static byte[] Damage(byte[] whole, Random random) => random.Next(7) switch
    {
        0 => whole[..random.Next(whole.Length)],
        1 => Flip(whole, random, 1),
        2 => Flip(whole, random, random.Next(2, 50)),
        3 => Splice(whole, random),
        4 => Rename(whole, random),
        5 => Resize(whole, random),
        _ => Insert(whole, random),
    };

    private static byte[] Flip(byte[] whole, Random random, int bits)
    {
        byte[] damaged = [.. whole];
        for (int i = 0; i < bits; i++)
            damaged[random.Next(damaged.Length)] ^= (byte)(1 << random.Next(8));
        return damaged;
    }

    // A piece of the archive laid over another place, mostly one header over another.
    private static byte[] Splice(byte[] whole, Random random)
    {
        byte[] damaged = [.. whole];
        int[] heads = Heads(whole);
        int length = random.Next(1, 60), from = heads[random.Next(heads.Length)], to = random.Next(2) == 0 ? heads[random.Next(heads.Length)] : random.Next(whole.Length);
        length = Math.Min(length, whole.Length - Math.Max(from, to));
        whole.AsSpan(from, length).CopyTo(damaged.AsSpan(to));
        return damaged;
    }

    // One file's name everywhere, cut or filled to the length that the headers tell.
    private static byte[] Rename(byte[] whole, Random random)
    {
        byte[] damaged = [.. whole];
        IReadOnlyList<ZipPart> parts = ZipLayout.Read(whole, "p");
        byte[] old = Encoding.UTF8.GetBytes(parts[random.Next(parts.Count)].Name);
        byte[] name = Encoding.UTF8.GetBytes(Names[random.Next(Names.Length)].PadRight(old.Length, 'x')[..old.Length]);
        for (int at; (at = damaged.AsSpan().IndexOf(old)) >= 0 && !old.AsSpan().SequenceEqual(name);)
            name.CopyTo(damaged, at);
        return damaged;
    }

    private static byte[] Resize(byte[] whole, Random random)
    {
        byte[] damaged = [.. whole];
        int[] heads = Heads(whole);
        int at = Math.Min(heads[random.Next(heads.Length)] + random.Next(4, 46), whole.Length - 4);
        uint[] values = [0, 1, 0x7FFFFFFF, 0xFFFFFFFF, (uint)whole.Length, (uint)random.Next()];
        uint value = values[random.Next(values.Length)];
        if (random.Next(2) == 0)
            BinaryPrimitives.WriteUInt32LittleEndian(damaged.AsSpan(at), value);
        else
            BinaryPrimitives.WriteUInt16LittleEndian(damaged.AsSpan(at), (ushort)value);
        return damaged;
    }

    private static byte[] Insert(byte[] whole, Random random)
    {
        int at = random.Next(whole.Length + 1);
        byte[] piece = new byte[random.Next(1, 200)];
        random.NextBytes(piece);
        return [.. whole[..at], .. piece, .. whole[at..]];
    }

    private static int[] Heads(byte[] whole) => [.. Enumerable.Range(0, whole.Length - 4).Where(at => whole[at] == 'P' && whole[at + 1] == 'K' && whole[at + 2] is 1 or 3 or 5)];
}
