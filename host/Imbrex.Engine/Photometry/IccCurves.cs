using System.Buffers.Binary;
using System.Text;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Reads the tone curves of an RGB matrix profile: the tags rTRC, gTRC, bTRC of types 'curv' and 'para'.
/// Source: ICC.1:2010, 10.5 (curveType) and 10.15 (parametricCurveType), from memory; checked against littleCMS in the tests.
/// </summary>
public static class IccCurves
{
    /// <summary>Decoding functions for R, G, B from encoded to linear, both 0 to 1; null where the profile has no such curves.</summary>
    public static IReadOnlyList<Func<double, double>>? Read(ReadOnlySpan<byte> profile)
    {
        var curves = new List<Func<double, double>>();
        foreach (string tag in new[] { "rTRC", "gTRC", "bTRC" })
        {
            if (!TryFind(profile, tag, out ReadOnlySpan<byte> data) || ReadCurve(data) is not { } curve)
                return null;
            curves.Add(curve);
        }
        return curves;
    }

    /// <summary>Whether a profile is one for RGB pictures, by its data colour space (ICC.1:2010, 7.2.8, from memory).</summary>
    public static bool IsRgb(ReadOnlySpan<byte> profile) => profile.Length >= 132 && profile.Slice(16, 4).SequenceEqual("RGB "u8);

    /// <summary>X, Y, Z of the primaries R, G, B (tags rXYZ, gXYZ, bXYZ); null where the profile has none.</summary>
    public static double[][]? ReadPrimaries(ReadOnlySpan<byte> profile)
    {
        var primaries = new List<double[]>();
        foreach (string tag in new[] { "rXYZ", "gXYZ", "bXYZ" })
        {
            if (!TryFind(profile, tag, out ReadOnlySpan<byte> data) || data.Length < 20 || !data[..4].SequenceEqual("XYZ "u8))
                return null;
            var xyz = new double[3];
            for (int i = 0; i < 3; i++)
                xyz[i] = BinaryPrimitives.ReadInt32BigEndian(data[(8 + 4 * i)..]) / 65536.0;
            primaries.Add(xyz);
        }
        return [.. primaries];
    }

    private static bool TryFind(ReadOnlySpan<byte> profile, string tag, out ReadOnlySpan<byte> data)
    {
        data = default;
        if (profile.Length < 132 || !profile.Slice(36, 4).SequenceEqual("acsp"u8))
            return false;
        int count = (int)Math.Min(BinaryPrimitives.ReadUInt32BigEndian(profile[128..]), 200);
        for (int i = 0; i < count && 132 + (i + 1) * 12 <= profile.Length; i++)
        {
            ReadOnlySpan<byte> entry = profile.Slice(132 + i * 12, 12);
            if (Encoding.ASCII.GetString(entry[..4]) != tag)
                continue;
            uint offset = BinaryPrimitives.ReadUInt32BigEndian(entry[4..]), size = BinaryPrimitives.ReadUInt32BigEndian(entry[8..]);
            if (offset + (long)size > profile.Length || size < 12)
                return false;
            data = profile.Slice((int)offset, (int)size);
            return true;
        }
        return false;
    }

    private static Func<double, double>? ReadCurve(ReadOnlySpan<byte> data)
    {
        if (data[..4].SequenceEqual("curv"u8))
            return ReadTable(data);
        return data[..4].SequenceEqual("para"u8) ? ReadParametric(data) : null;
    }

    private static Func<double, double>? ReadTable(ReadOnlySpan<byte> data)
    {
        uint count = BinaryPrimitives.ReadUInt32BigEndian(data[8..]);
        if (count == 0)
            return x => x;
        if (data.Length < 12 + count * 2L)
            return null;
        if (count == 1)
        {
            double gamma = BinaryPrimitives.ReadUInt16BigEndian(data[12..]) / 256.0;
            return x => Math.Pow(x, gamma);
        }
        var table = new double[count];
        for (int i = 0; i < table.Length; i++)
            table[i] = BinaryPrimitives.ReadUInt16BigEndian(data[(12 + 2 * i)..]) / 65535.0;
        return x =>
        {
            double at = Math.Clamp(x, 0, 1) * (table.Length - 1);
            int below = Math.Min((int)at, table.Length - 2);
            return table[below] + (at - below) * (table[below + 1] - table[below]);
        };
    }

    private static Func<double, double>? ReadParametric(ReadOnlySpan<byte> data)
    {
        int kind = BinaryPrimitives.ReadUInt16BigEndian(data[8..]);
        int count = kind switch { 0 => 1, 1 => 3, 2 => 4, 3 => 5, 4 => 7, _ => 0 };
        if (count == 0 || data.Length < 12 + 4 * count)
            return null;
        var p = new double[count];
        for (int i = 0; i < count; i++)
            p[i] = BinaryPrimitives.ReadInt32BigEndian(data[(12 + 4 * i)..]) / 65536.0;
        // Parameters stand in the order g a b c d e f.
        double g = p[0];
        return kind switch
        {
            0 => x => Math.Pow(x, g),
            1 => x => x >= -p[2] / p[1] ? Math.Pow(p[1] * x + p[2], g) : 0,
            2 => x => x >= -p[2] / p[1] ? Math.Pow(p[1] * x + p[2], g) + p[3] : p[3],
            3 => x => x >= p[4] ? Math.Pow(p[1] * x + p[2], g) : p[3] * x,
            _ => x => x >= p[4] ? Math.Pow(p[1] * x + p[2], g) + p[5] : p[3] * x + p[6],
        };
    }
}
