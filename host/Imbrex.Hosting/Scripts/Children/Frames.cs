using System.Buffers.Binary;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>Messages between the program and its children: a length and so many bytes.</summary>
internal static class Frames
{
    /// <summary>More than any honest message: ten thousand tiles with names take one megabyte.</summary>
    public const int Largest = 4 << 20;

    public static void Write(Stream stream, byte[] content)
    {
        byte[] frame = new byte[sizeof(int) + content.Length];
        BinaryPrimitives.WriteInt32LittleEndian(frame, content.Length);
        content.CopyTo(frame, sizeof(int));
        stream.Write(frame);
        stream.Flush();
    }

    /// <summary>The next message, or null where the other side has closed.</summary>
    /// <exception cref="InvalidDataException">It is longer than any message may be, or ends early.</exception>
    public static byte[]? Read(Stream stream)
    {
        byte[] head = new byte[sizeof(int)];
        int read = stream.ReadAtLeast(head, head.Length, throwOnEndOfStream: false);
        if (read == 0)
            return null;
        int length = BinaryPrimitives.ReadInt32LittleEndian(head);
        if (read < head.Length || length is < 0 or > Largest)
            throw new InvalidDataException();
        byte[] content = new byte[length];
        if (stream.ReadAtLeast(content, length, throwOnEndOfStream: false) < length)
            throw new InvalidDataException();
        return content;
    }

    /// <summary>Makes a message.</summary>
    public static byte[] Make(Action<BinaryWriter> write)
    {
        using var content = new MemoryStream();
        using (var writer = new BinaryWriter(content))
            write(writer);
        return content.ToArray();
    }

    /// <summary>Takes a message apart.</summary>
    /// <exception cref="InvalidDataException">It does not hold what it should.</exception>
    public static T Take<T>(byte[] message, Func<BinaryReader, T> read)
    {
        try
        {
            using var reader = new BinaryReader(new MemoryStream(message, writable: false));
            T value = read(reader);
            return reader.BaseStream.Position == message.Length ? value : throw new InvalidDataException();
        }
        catch (Exception e) when (e is EndOfStreamException or FormatException or ArgumentException or IOException)
        {
            throw new InvalidDataException(null, e);
        }
    }

    public static void WriteBytes(this BinaryWriter writer, byte[] bytes)
    {
        writer.Write(bytes.Length);
        writer.Write(bytes);
    }

    public static byte[] ReadBytes(this BinaryReader reader)
    {
        int length = reader.ReadInt32();
        return length is >= 0 and <= Largest && reader.ReadBytes(length) is var bytes && bytes.Length == length ? bytes : throw new InvalidDataException();
    }

    public static void WriteText(this BinaryWriter writer, string? text)
    {
        writer.Write(text is not null);
        if (text is not null)
            writer.Write(text);
    }

    public static string? ReadText(this BinaryReader reader) => reader.ReadBoolean() ? reader.ReadString() : null;
}
