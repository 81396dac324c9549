using System.Buffers.Binary;
using Imbrex.Sdk;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Imaging;

/// <summary>
/// The directory of a plain 16-bit TIFF or BigTIFF with its pixels in one run, as <see cref="Sdk.Exports.TiffHeader"/> lays it out: its
/// pixels can be read by position. Anything else goes through an imaging library.
/// </summary>
internal sealed record PlainTiff(int Width, int Height, int Bands, long PixelsAt, byte[] IccProfile)
{
    private const int LongestValue = 64 << 20;
    private const int LargestSide = 1 << 24;

    public long PixelBytes => (long)Width * Height * Bands * sizeof(ushort);

    /// <summary>Reads the directory of a file, or gives null where it is not such a file.</summary>
    public static PlainTiff? TryRead(string path)
    {
        try
        {
            using SafeFileHandle file = File.OpenHandle(path);
            return Read(file, path);
        }
        catch (Exception e) when (e is InputException or IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <exception cref="InputException">Not such a file, or shorter than its directory says.</exception>
    public static PlainTiff Read(SafeFileHandle file, string path)
    {
        var directory = new DirectoryReader(file, path);
        int width = directory.Whole(256), height = directory.Whole(257), bands = directory.Whole(277);
        bool plain = bands is 3 or 4 && width is > 0 and <= LargestSide && height is > 0 and <= LargestSide
            && directory.Values(258).SequenceEqual(Enumerable.Repeat(16L, bands))
            && directory.Whole(259) == 1 && directory.Whole(262) == 2 && directory.Whole(284) == 1;
        if (!plain)
            throw Foreign(path);
        long[] offsets = directory.Values(273), counts = directory.Values(279);
        var header = new PlainTiff(width, height, bands, offsets.FirstOrDefault(), directory.Bytes(34675));
        if (!IsOneRun(offsets, counts, header.PixelBytes))
            throw Foreign(path);
        long length = RandomAccess.GetLength(file);
        if (header.PixelsAt > length - header.PixelBytes)
            throw new InputException($"The master is cut short: {length} of {header.PixelsAt + header.PixelBytes} bytes are there.", path, "Copy it again, or merge again.");
        return header;
    }

    // The strips follow one another without a gap and hold exactly the pixels.
    private static bool IsOneRun(long[] offsets, long[] counts, long pixelBytes)
    {
        if (offsets.Length != counts.Length || offsets.Length == 0 || offsets[0] is < 8 or > long.MaxValue / 4)
            return false;
        long end = offsets[0];
        for (int i = 0; i < offsets.Length; i++)
        {
            if (offsets[i] != end || counts[i] <= 0 || counts[i] > pixelBytes - (end - offsets[0]))
                return false;
            end += counts[i];
        }
        return end - offsets[0] == pixelBytes;
    }

    private static InputException Foreign(string path) =>
        new("This is not a master that Imbrex wrote, or it was saved by another program since.", path, "Merge again, or restore the file.");

    /// <summary>Reads the entries of the first directory; TIFF 6.0 (1992) and BigTIFF, little-endian.</summary>
    private sealed class DirectoryReader
    {
        private readonly SafeFileHandle _file;
        private readonly string _path;
        private readonly bool _big;
        private readonly Dictionary<int, (int Type, long Count, long ValueAt)> _entries = [];

        public DirectoryReader(SafeFileHandle file, string path)
        {
            (_file, _path) = (file, path);
            byte[] start = At(0, 8);
            _big = start[2] == 43;
            if (start[0] != 'I' || start[1] != 'I' || start[2] is not (42 or 43) || start[3] != 0)
                throw Foreign(path);
            long directory = _big ? Number(At(8, 8)) : Number(start.AsSpan(4));
            long count = Number(At(directory, _big ? 8 : 2));
            if (count is < 1 or > 4096)
                throw Foreign(path);
            int size = _big ? 20 : 12, word = _big ? 8 : 4;
            byte[] table = At(directory + (_big ? 8 : 2), (int)count * size);
            for (int i = 0; i < count; i++)
            {
                ReadOnlySpan<byte> entry = table.AsSpan(i * size, size);
                (int tag, int type) = ((int)Number(entry[..2]), (int)Number(entry[2..4]));
                long values = Number(entry.Slice(4, word));
                long inPlace = directory + (_big ? 8 : 2) + (long)i * size + 4 + word;
                bool fits = values <= word && values * SizeOf(type) <= word;
                _entries[tag] = (type, values, fits ? inPlace : Number(entry.Slice(4 + word, word)));
            }
        }

        public int Whole(int tag)
        {
            long[] values = Values(tag);
            return values.Length == 1 && values[0] <= int.MaxValue ? (int)values[0] : throw Foreign(_path);
        }

        public long[] Values(int tag)
        {
            int size = _entries.TryGetValue(tag, out var entry) ? SizeOf(entry.Type) : throw Foreign(_path);
            byte[] bytes = Bytes(tag);
            var values = new long[bytes.Length / size];
            for (int i = 0; i < values.Length; i++)
                values[i] = Number(bytes.AsSpan(i * size, size));
            return values;
        }

        public byte[] Bytes(int tag)
        {
            if (!_entries.TryGetValue(tag, out var entry))
                return [];
            if (entry.Count > LongestValue / SizeOf(entry.Type))
                throw Foreign(_path);
            return At(entry.ValueAt, (int)entry.Count * SizeOf(entry.Type));
        }

        private byte[] At(long position, int length)
        {
            var bytes = new byte[length];
            return position >= 0 && RandomAccess.Read(_file, bytes, position) == length ? bytes : throw Foreign(_path);
        }

        private static int SizeOf(int type) => type switch { 3 => 2, 4 => 4, 5 or 12 or 16 => 8, _ => 1 };

        private static long Number(ReadOnlySpan<byte> bytes)
        {
            Span<byte> word = stackalloc byte[8];
            word.Clear();
            bytes[..Math.Min(bytes.Length, 8)].CopyTo(word);
            return BinaryPrimitives.ReadInt64LittleEndian(word);
        }
    }
}
