using System.Buffers.Binary;
using System.Text;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>A file in a zip archive, by where its packed bytes lie.</summary>
/// <param name="Name">Its path as the archive spells it.</param>
/// <param name="Start">Where its packed bytes begin.</param>
/// <param name="Packed">How many they are.</param>
/// <param name="Size">How many bytes it promises to unpack to.</param>
/// <param name="IsDeflated">Whether it is compressed.</param>
internal sealed record ZipPart(string Name, int Start, int Packed, long Size, bool IsDeflated);

/// <summary>
/// Reads where the files of an archive lie, and accepts one form only, that in which packages are written: files one after the other from the first byte to the directory, the
/// directory up to the end record, nothing between or behind, and every fact that is stored twice alike in both places. What two programs could read differently is thereby
/// refused. (Field layout by PKWARE's APPNOTE 6.3, sections 4.3.7, 4.3.12 and 4.3.16; from memory.)
/// </summary>
internal ref struct ZipLayout
{
    private const uint FileMark = 0x04034b50, DirectoryMark = 0x02014b50, EndMark = 0x06054b50;
    private const int FileHead = 30, DirectoryHead = 46, EndRecord = 22;
    private const ushort Encrypted = 0x0001, Descriptor = 0x0008, Utf8 = 0x0800, DeflateLevels = 0x0006;
    private const ushort Stored = 0, Deflated = 8;
    private const int TypeBits = 0xF000, RegularFile = 0x8000, LinkFile = 0xA000, DosFolder = 0x10;

    private const string Remedy = "Do not use it; if you made it, pack it with imbrex plugin pack.";

    private readonly ReadOnlySpan<byte> _bytes;
    private readonly string _source;
    private int _file;
    private int _entry;

    private ZipLayout(ReadOnlySpan<byte> bytes, string source)
    {
        _bytes = bytes;
        _source = source;
    }

    /// <summary>The archive's files in its own order.</summary>
    /// <param name="bytes">The whole archive.</param>
    /// <param name="source">Its file, for messages.</param>
    /// <exception cref="InputException">It is no archive, or cut off.</exception>
    /// <exception cref="RefusalException">It has another form.</exception>
    public static IReadOnlyList<ZipPart> Read(ReadOnlySpan<byte> bytes, string source) => new ZipLayout(bytes, source).Read();

    private List<ZipPart> Read()
    {
        if (_bytes.Length < EndRecord || UInt32(0) != FileMark)
            throw new InputException("The file is no package.", _source, "Name a .nupkg file made by imbrex plugin pack.");
        int end = _bytes.Length - EndRecord;
        if (UInt32(end) != EndMark)
            throw new InputException("The package is cut off, or something follows its end.", _source, "Get it again from where it came.");
        int count = UInt16(end + 10);
        bool whole = UInt16(end + 4) == 0 && UInt16(end + 6) == 0 && UInt16(end + 8) == count && UInt16(end + 20) == 0;
        Require(whole, "is spread over several files or carries a comment");
        Require(count != ushort.MaxValue && UInt32(end + 12) != uint.MaxValue && UInt32(end + 16) != uint.MaxValue,
            "asks for the form for very large archives (zip64), which no package needs");
        int start = Position(end + 16);
        Require((long)start + UInt32(end + 12) == end, "has a directory that does not end where the end record begins");
        if (count > PackageLimits.Entries)
            throw new RefusalException($"The package holds {count} files; {PackageLimits.Entries} is the most.", _source, "Ask its author for a smaller one.");
        var parts = new List<ZipPart>(count);
        for (_entry = start; parts.Count < count;)
            parts.Add(ReadPart(start, end));
        Require(_entry == end, "has something between its directory and the end record");
        Require(_file == start, "has something between its files and the directory");
        return parts;
    }

    private ZipPart ReadPart(int directory, int end)
    {
        Require(_entry <= end - DirectoryHead && UInt32(_entry) == DirectoryMark, "has a damaged directory");
        Require(UInt16(_entry + 34) == 0 && Position(_entry + 42) == _file, "has files that do not follow each other");
        Require(_file <= directory - FileHead && UInt32(_file) == FileMark, "has a damaged file header");
        int nameLength = UInt16(_entry + 28), next = _entry + DirectoryHead + nameLength;
        int data = _file + FileHead + nameLength;
        Require(next <= end && data <= directory, "has a damaged directory");
        Require(UInt16(_entry + 30) == 0 && UInt16(_entry + 32) == 0 && UInt16(_file + 28) == 0, "carries extra fields or comments, which hide data or lead to other sizes");
        // Flags, method, time, checksum, both sizes and the length of the name stand in both headers at the same distance, then the name.
        Require(_bytes.Slice(_entry + 8, 22).SequenceEqual(_bytes.Slice(_file + 6, 22))
            && _bytes.Slice(_entry + DirectoryHead, nameLength).SequenceEqual(_bytes.Slice(_file + FileHead, nameLength)), "says two different things of one file");
        string name = Name(_bytes.Slice(_entry + DirectoryHead, nameLength));
        int flags = UInt16(_entry + 8), method = UInt16(_entry + 10);
        Refuse((flags & Encrypted) != 0, name, "is encrypted");
        Refuse((flags & Descriptor) != 0, name, "tells its size behind itself, where nobody can check it beforehand");
        Refuse((flags & ~(Utf8 | DeflateLevels)) != 0 || method is not (Stored or Deflated), name, "is packed in a way that packages do not use");
        RequirePlain(name, Int32(_entry + 38));
        int packed = Position(_entry + 20);
        uint size = UInt32(_entry + 24);
        Require(packed <= directory - data, "has a file that runs into the directory");
        Refuse(method == Stored && size != packed, name, "has two different sizes");
        Refuse(size > PackageLimits.File, name, $"has {size >> 20} MB, and {PackageLimits.File >> 20} MB is the most");
        (_entry, _file) = (next, data + packed);
        return new(name, data, packed, size, method == Deflated);
    }

    // The upper half of the attributes is what Unix says of a file, the lower what DOS says.
    private readonly void RequirePlain(string name, int attributes)
    {
        int type = (attributes >> 16) & TypeBits;
        Refuse(type == LinkFile, name, "is a link");
        Refuse((type is not (0 or RegularFile)) || (attributes & DosFolder) != 0, name, "is no plain file");
    }

    private readonly string Name(ReadOnlySpan<byte> name)
    {
        try
        {
            return new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(name);
        }
        catch (DecoderFallbackException e)
        {
            throw new RefusalException("The package has a file name that is not UTF-8.", _source, Remedy, e);
        }
    }

    private readonly void Require(bool holds, string fault)
    {
        if (!holds)
            throw new RefusalException($"The package {fault}.", _source, Remedy);
    }

    private readonly void Refuse(bool faulty, string name, string fault)
    {
        if (faulty)
            throw new RefusalException($"'{Visible.Text(name)}' in the package {fault}.", _source, Remedy);
    }

    private readonly int Position(int at)
    {
        uint value = UInt32(at);
        Require(value <= (uint)_bytes.Length, "points outside itself");
        return (int)value;
    }

    private readonly int UInt16(int at) => BinaryPrimitives.ReadUInt16LittleEndian(_bytes[at..]);

    private readonly uint UInt32(int at) => BinaryPrimitives.ReadUInt32LittleEndian(_bytes[at..]);

    private readonly int Int32(int at) => BinaryPrimitives.ReadInt32LittleEndian(_bytes[at..]);
}
