namespace Imbrex.Engine.Photometry;

/// <summary>
/// The tone curve of sRGB between linear light and code value, both 0 to 1 (IEC 61966-2-1): exact in double, and from
/// tables for pixels by the million.
/// </summary>
public static class SrgbCurve
{
    // Between entries the curve is taken as straight; 32768 steps keep that within 0.03 of a 16-bit code.
    private const int EncodeSteps = 32768;

    private static readonly float[] EncodeTable = BuildEncodeTable();
    private static readonly float[] DecodeTable = [.. Enumerable.Range(0, 65536).Select(code => (float)Decode(code / 65535.0))];

    /// <summary>Linear light of every 16-bit code.</summary>
    public static ReadOnlySpan<float> Decode16 => DecodeTable;

    /// <summary>The code value of linear light; what lies outside 0 to 1 is clipped.</summary>
    public static double Encode(double linear)
    {
        double light = Math.Clamp(linear, 0, 1);
        return light <= 0.0031308 ? 12.92 * light : 1.055 * Math.Pow(light, 1 / 2.4) - 0.055;
    }

    /// <summary>The linear light of a code value; what lies outside 0 to 1 is clipped.</summary>
    public static double Decode(double encoded)
    {
        double code = Math.Clamp(encoded, 0, 1);
        return code <= 0.04045 ? code / 12.92 : Math.Pow((code + 0.055) / 1.055, 2.4);
    }

    /// <summary>The nearest 16-bit code of linear light, clipped; off by one at most where the exact value lies between two codes.</summary>
    public static ushort Encode16(float linear)
    {
        float at = Math.Min(Math.Max(linear, 0f), 1f) * EncodeSteps;
        int step = (int)at;
        float low = EncodeTable[step];
        return (ushort)(low + (at - step) * (EncodeTable[step + 1] - low) + 0.5f);
    }

    private static float[] BuildEncodeTable()
    {
        // One entry more than steps, and its copy, so that full light needs no branch.
        var table = new float[EncodeSteps + 2];
        for (int i = 0; i < table.Length; i++)
            table[i] = (float)(65535 * Encode(i / (double)EncodeSteps));
        return table;
    }
}
