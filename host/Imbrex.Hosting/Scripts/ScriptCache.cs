using System.Buffers.Binary;
using System.Security.Cryptography;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// Compiled scripts, and what they have answered, on disk, one file each: a checksum, the length of the assembly or answer, this itself, the symbols. A file that is damaged
/// counts as absent and is written anew; a folder that cannot be written to costs time and nothing else. What has not been used for longest goes when there is too much.
/// </summary>
/// <param name="folder">The folder.</param>
/// <param name="most">Bytes that may lie in it, but for a few entries more.</param>
public sealed class ScriptCache(string folder, long most = 64 << 20)
{
    // To list the folder takes longer than to write an entry, so not every entry asks for it; and it is not full again at once.
    private const int AskedOneIn = 16;
    private const double LeftWhenFull = 0.75;

    private const int MostEntries = 10_000;

    // An assembly and its symbols, each of which fits a child's message.
    private const int LargestEntry = 2 * Children.Frames.Largest + Header;

    // The day of use is enough to know what is old.
    private static readonly TimeSpan Fresh = TimeSpan.FromDays(1);

    private const string Ending = ".script";
    private const int Checksum = SHA256.HashSizeInBytes;
    private const int Header = Checksum + sizeof(int);

    /// <summary>What was kept under a key, or null.</summary>
    internal (byte[] Assembly, byte[] Symbols)? Find(string key)
    {
        byte[] entry;
        try
        {
            if (new FileInfo(PathOf(key)) is not { Exists: true, Length: <= LargestEntry })
                return null;
            entry = File.ReadAllBytes(PathOf(key));
            Touch(PathOf(key));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
        if (entry.Length < Header || !SHA256.HashData(entry.AsSpan(Checksum)).AsSpan().SequenceEqual(entry.AsSpan(0, Checksum)))
            return null;
        int length = BinaryPrimitives.ReadInt32LittleEndian(entry.AsSpan(Checksum));
        // The checksum is anybody's to compute: it finds damage, not forgery.
        if (length < 0 || length > entry.Length - Header)
            return null;
        return (entry[Header..(Header + length)], entry[(Header + length)..]);
    }

    /// <summary>Keeps a compiled script, or an answer.</summary>
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
            // Keys are hashes: one in so many begins so.
            if (entry.Length > most / AskedOneIn || Convert.ToInt32(key[..2], 16) % AskedOneIn == 0)
                Prune();
        }
        catch (Exception e) when (e is InputException or IOException or UnauthorizedAccessException)
        {
            // The next run compiles again. Another process may also be writing the same entry at this moment.
        }
    }

    /// <summary>Removes what has not been used for longest, if there is too much.</summary>
    internal void Prune()
    {
        FileInfo[] entries = [.. new DirectoryInfo(folder).EnumerateFiles("*" + Ending).OrderByDescending(file => file.LastWriteTimeUtc).ThenBy(file => file.Name, StringComparer.Ordinal)];
        if (entries.Length <= MostEntries && entries.Sum(file => file.Length) <= most)
            return;
        long kept = 0;
        for (int i = 0; i < entries.Length; i++)
        {
            kept += entries[i].Length;
            if (i >= MostEntries * LeftWhenFull || kept > most * LeftWhenFull)
                entries[i].Delete();
        }
    }

    private static void Touch(string path)
    {
        if (DateTime.UtcNow - File.GetLastWriteTimeUtc(path) > Fresh)
            File.SetLastWriteTimeUtc(path, DateTime.UtcNow);
    }

    private string PathOf(string key) => Path.Combine(folder, key + Ending);
}
