using System.Buffers.Binary;
using System.Text;

namespace Imbrex.Sdk.Exports;

/// <summary>
/// Everything of a plain TIFF that stands before its pixels. The pixels follow in one run, row after row, so that a file can be
/// written by position or served as a stream without ever being held.
/// </summary>
public static class TiffHeader
{
    private const int StripTargetBytes = 1 << 20;
    private const ushort Ascii = 2, Short = 3, Long = 4, Rational = 5, Undefined = 7, Long8 = 16;

    /// <summary>Builds the header.</summary>
    /// <param name="picture">What the file holds.</param>
    /// <param name="bigTiff">True or false to force the variant, null to use BigTIFF only where 32-bit offsets do not reach.</param>
    /// <returns>The bytes before the first pixel; their number is a multiple of 16.</returns>
    /// <exception cref="ArgumentOutOfRangeException">Bands other than 3 or 4, or an empty picture.</exception>
    public static byte[] Build(TiffPicture picture, bool? bigTiff = null)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentOutOfRangeException.ThrowIfLessThan(picture.Width, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(picture.Height, 1);
        ArgumentOutOfRangeException.ThrowIfNotEqual(picture.Bands is 3 or 4, true, nameof(picture));

        long rowBytes = picture.PixelBytes / picture.Height;
        int rowsPerStrip = (int)Math.Clamp(StripTargetBytes / rowBytes, 1, picture.Height);
        int strips = (picture.Height + rowsPerStrip - 1) / rowsPerStrip;
        // The header itself never exceeds the profile, the strip tables and a page or so.
        long bound = picture.PixelBytes + picture.IccProfile.Length + 16L * strips + 4096;
        bool big = bigTiff ?? bound > uint.MaxValue;

        // Strip offsets depend on the header's length, which depends only on how many they are: build twice.
        long length = Write(picture, big, rowsPerStrip, strips, pixelsAt: 0).LongLength;
        return Write(picture, big, rowsPerStrip, strips, pixelsAt: length);
    }

    private static byte[] Write(TiffPicture picture, bool big, int rowsPerStrip, int strips, long pixelsAt)
    {
        long rowBytes = picture.PixelBytes / picture.Height;
        var offsets = new long[strips];
        var counts = new long[strips];
        for (int i = 0; i < strips; i++)
        {
            offsets[i] = pixelsAt + i * rowsPerStrip * rowBytes;
            counts[i] = Math.Min(rowsPerStrip, picture.Height - (long)i * rowsPerStrip) * rowBytes;
        }
        ushort offsetType = big ? Long8 : Long;

        var main = new Directory(big);
        main.Add(256, Long, picture.Width);
        main.Add(257, Long, picture.Height);
        main.Add(258, Short, [.. Enumerable.Repeat(16L, picture.Bands)]);
        main.Add(259, Short, 1);
        main.Add(262, Short, 2);
        if (picture.Exposure is { } camera)
        {
            main.AddText(271, camera.Make);
            main.AddText(272, camera.Model);
        }
        main.Add(273, offsetType, offsets);
        main.Add(274, Short, picture.Orientation);
        main.Add(277, Short, picture.Bands);
        main.Add(278, Long, rowsPerStrip);
        main.Add(279, offsetType, counts);
        if (picture.PixelsPerMm is { } perMm)
        {
            main.AddRational(282, perMm * 10);
            main.AddRational(283, perMm * 10);
        }
        main.Add(284, Short, 1);
        if (picture.PixelsPerMm is not null)
            main.Add(296, Short, 3);
        main.AddText(305, picture.Software);
        if (picture.Exposure is { } exposure)
            main.AddText(306, Time(exposure.Taken));
        if (picture.Bands == 4)
            main.Add(338, Short, 2);
        if (!picture.IccProfile.IsEmpty)
            main.AddBytes(34675, Undefined, picture.IccProfile.Span);
        if (picture.Exposure is { } facts)
            main.AddDirectory(34665, ExifDirectory(facts, big));

        int start = big ? 16 : 8;
        byte[] body = main.ToBytes(start);
        int total = (start + body.Length + 15) & ~15;
        var header = new byte[total];
        "II"u8.CopyTo(header);
        BinaryPrimitives.WriteUInt16LittleEndian(header.AsSpan(2), (ushort)(big ? 43 : 42));
        if (big)
        {
            BinaryPrimitives.WriteUInt16LittleEndian(header.AsSpan(4), 8);
            BinaryPrimitives.WriteInt64LittleEndian(header.AsSpan(8), start);
        }
        else
        {
            BinaryPrimitives.WriteInt32LittleEndian(header.AsSpan(4), start);
        }
        body.CopyTo(header, start);
        return header;
    }

    private static Directory ExifDirectory(TiffExposure exposure, bool big)
    {
        var exif = new Directory(big);
        exif.AddRational(33434, exposure.Seconds);
        exif.AddRational(33437, exposure.Aperture);
        exif.Add(34855, Short, exposure.Iso);
        exif.AddBytes(36864, Undefined, "0232"u8);
        exif.AddText(36867, Time(exposure.Taken));
        exif.AddRational(37386, exposure.FocalLengthMm);
        return exif;
    }

    private static string Time(DateTime taken) => taken.ToString("yyyy:MM:dd HH:mm:ss", System.Globalization.CultureInfo.InvariantCulture);

    /// <summary>One image file directory: entries in rising order of tags, then the values that do not fit into an entry.</summary>
    private sealed class Directory(bool big)
    {
        private readonly List<(ushort Tag, ushort Type, long Count, byte[] Value, Directory? Inner)> _entries = [];

        public void Add(ushort tag, ushort type, params long[] values)
        {
            int size = type switch { Short => 2, Long => 4, _ => 8 };
            var bytes = new byte[size * values.Length];
            Span<byte> word = stackalloc byte[8];
            for (int i = 0; i < values.Length; i++)
            {
                BinaryPrimitives.WriteInt64LittleEndian(word, values[i]);
                word[..size].CopyTo(bytes.AsSpan(i * size));
            }
            _entries.Add((tag, type, values.Length, bytes, null));
        }

        public void AddBytes(ushort tag, ushort type, ReadOnlySpan<byte> bytes) => _entries.Add((tag, type, bytes.Length, bytes.ToArray(), null));

        public void AddText(ushort tag, string text) => AddBytes(tag, Ascii, Encoding.ASCII.GetBytes(text + "\0"));

        public void AddRational(ushort tag, double value)
        {
            (uint numerator, uint denominator) = Fraction(value);
            var bytes = new byte[8];
            BinaryPrimitives.WriteUInt32LittleEndian(bytes, numerator);
            BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(4), denominator);
            _entries.Add((tag, Rational, 1, bytes, null));
        }

        // The simplest fraction that is the number: its continued fraction, until nothing worth naming is left. A pitch of 4.3 um gives
        // 100000/43, an exposure of a 125th second 1/125.
        private static (uint Numerator, uint Denominator) Fraction(double value)
        {
            (double n, double d, double olderN, double olderD) = (1, 0, 0, 1);
            double rest = Math.Clamp(value, 0, uint.MaxValue);
            while (true)
            {
                double whole = Math.Floor(rest);
                (double nextN, double nextD) = (whole * n + olderN, whole * d + olderD);
                if (nextN > uint.MaxValue || nextD > uint.MaxValue)
                    break;
                (olderN, olderD, n, d) = (n, d, nextN, nextD);
                if (Math.Abs(n / d - value) <= 1e-12 * value || rest == whole)
                    break;
                rest = 1 / (rest - whole);
            }
            return ((uint)n, (uint)d);
        }

        public void AddDirectory(ushort tag, Directory inner) => _entries.Add((tag, big ? Long8 : Long, 1, new byte[big ? 8 : 4], inner));

        /// <summary>The directory as it stands at a position of the file, its out-of-line values behind it.</summary>
        public byte[] ToBytes(int at)
        {
            _entries.Sort((a, b) => a.Tag.CompareTo(b.Tag));
            int countSize = big ? 8 : 2, entrySize = big ? 20 : 12, wordSize = big ? 8 : 4;
            int directorySize = countSize + _entries.Count * entrySize + wordSize;
            var table = new MemoryStream();
            var values = new MemoryStream();
            WriteWord(table, _entries.Count, countSize);
            foreach ((ushort tag, ushort type, long count, byte[] plain, Directory? inner) in _entries)
            {
                byte[] value = plain;
                if (inner is not null)
                {
                    int innerAt = at + directorySize + (int)values.Length;
                    values.Write(inner.ToBytes(innerAt));
                    value = Word(innerAt, wordSize);
                }
                WriteWord(table, tag, 2);
                WriteWord(table, type, 2);
                WriteWord(table, count, wordSize);
                if (value.Length <= wordSize)
                {
                    table.Write(value);
                    table.Write(new byte[wordSize - value.Length]);
                }
                else
                {
                    WriteWord(table, at + directorySize + values.Length, wordSize);
                    values.Write(value);
                    values.Write(new byte[(8 - value.Length % 8) % 8]);
                }
            }
            WriteWord(table, 0, wordSize);
            return [.. table.ToArray(), .. values.ToArray()];
        }

        private static void WriteWord(MemoryStream stream, long value, int size) => stream.Write(Word(value, size));

        private static byte[] Word(long value, int size)
        {
            var bytes = new byte[8];
            BinaryPrimitives.WriteInt64LittleEndian(bytes, value);
            return bytes[..size];
        }
    }
}
