using System.Buffers.Binary;
using System.IO.Compression;
using System.Text;

namespace Imbrex.Hosting.Tests.Packages;

/// <summary>A file in a forged archive; what is not told otherwise is honest.</summary>
internal sealed record ForgedFile(string Name, byte[] Content)
{
    public bool IsDeflated { get; init; } = true;
    public int Flags { get; init; }
    public int Attributes { get; init; }
    public uint? Size { get; init; }
    public string? NameInDirectory { get; init; }
    public byte[] Extra { get; init; } = [];
    public byte[] Before { get; init; } = [];
}

/// <summary>Writes archives that may lie in any field.</summary>
internal static class ForgedZip
{
    public static byte[] Write(IEnumerable<ForgedFile> files, byte[]? beforeDirectory = null, byte[]? comment = null)
    {
        var zip = new MemoryStream();
        var directory = new MemoryStream();
        int count = 0;
        foreach (ForgedFile file in files)
        {
            byte[] packed = file.IsDeflated ? Deflate(file.Content) : file.Content;
            zip.Write(file.Before);
            int start = (int)zip.Position;
            Head(zip, 0x04034b50, file, packed.Length, file.Name, null);
            zip.Write(packed);
            Head(directory, 0x02014b50, file, packed.Length, file.NameInDirectory ?? file.Name, start);
            count++;
        }
        zip.Write(beforeDirectory ?? []);
        int at = (int)zip.Position;
        zip.Write(directory.ToArray());
        UInt32(zip, 0x06054b50);
        UInt32(zip, 0);
        UInt16(zip, count);
        UInt16(zip, count);
        UInt32(zip, (uint)directory.Length);
        UInt32(zip, (uint)at);
        UInt16(zip, comment?.Length ?? 0);
        zip.Write(comment ?? []);
        return zip.ToArray();
    }

    public static byte[] Deflate(byte[] content)
    {
        var packed = new MemoryStream();
        using (var deflate = new DeflateStream(packed, CompressionLevel.SmallestSize, leaveOpen: true))
            deflate.Write(content);
        return packed.ToArray();
    }

    private static void Head(Stream to, uint mark, ForgedFile file, int packed, string name, int? start)
    {
        UInt32(to, mark);
        if (start is not null)
            UInt16(to, 20);
        UInt16(to, 20);
        UInt16(to, file.Flags);
        UInt16(to, file.IsDeflated ? 8 : 0);
        UInt32(to, 0x00210000);
        UInt32(to, 0);
        UInt32(to, (uint)packed);
        UInt32(to, file.Size ?? (uint)file.Content.Length);
        byte[] text = Encoding.UTF8.GetBytes(name);
        UInt16(to, text.Length);
        UInt16(to, file.Extra.Length);
        if (start is { } at)
        {
            UInt16(to, 0);
            UInt32(to, 0);
            UInt32(to, (uint)file.Attributes);
            UInt32(to, (uint)at);
        }
        to.Write(text);
        to.Write(file.Extra);
    }

    private static void UInt16(Stream to, int value)
    {
        Span<byte> bytes = stackalloc byte[2];
        BinaryPrimitives.WriteUInt16LittleEndian(bytes, (ushort)value);
        to.Write(bytes);
    }

    private static void UInt32(Stream to, uint value)
    {
        Span<byte> bytes = stackalloc byte[4];
        BinaryPrimitives.WriteUInt32LittleEndian(bytes, value);
        to.Write(bytes);
    }
}
