using System.Buffers.Binary;
using System.Security.Cryptography;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// Compiled scripts on disk, one file each: a checksum, the length of the assembly, the assembly, its symbols. A file that is damaged
/// counts as absent and is written anew; a folder that cannot be written to costs time and nothing else.
/// </summary>
public sealed class ScriptCache(string folder)
{
    private const int Checksum = SHA256.HashSizeInBytes;
    private const int Header = Checksum + sizeof(int);

    /// <summary>What was kept under a key, or null.</summary>
    internal (byte[] Assembly, byte[] Symbols)? Find(string key)
    {
        byte[] entry;
        try
        {
            entry = File.ReadAllBytes(PathOf(key));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
        if (entry.Length < Header || !SHA256.HashData(entry.AsSpan(Checksum)).AsSpan().SequenceEqual(entry.AsSpan(0, Checksum)))
            return null;
        int length = BinaryPrimitives.ReadInt32LittleEndian(entry.AsSpan(Checksum));
        return (entry[Header..(Header + length)], entry[(Header + length)..]);
    }

    /// <summary>Keeps a compiled script.</summary>
    internal void Keep(string key, byte[] assembly, byte[] symbols)
    {
        byte[] entry = new byte[Header + assembly.Length + symbols.Length];
        BinaryPrimitives.WriteInt32LittleEndian(entry.AsSpan(Checksum), assembly.Length);
        assembly.CopyTo(entry, Header);
        symbols.CopyTo(entry, Header + assembly.Length);
        SHA256.HashData(entry.AsSpan(Checksum), entry);
        try
        {
            Directory.CreateDirectory(folder);
            OutputFile.Write(PathOf(key), entry);
        }
        catch (Exception e) when (e is InputException or IOException or UnauthorizedAccessException)
        {
            // The next run compiles again. Another process may also be writing the same entry at this moment.
        }
    }

    private string PathOf(string key) => Path.Combine(folder, key + ".script");
}
