using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// One channel's encoding: from 16-bit codes to linear light and back. Immutable and thread-safe.
/// </summary>
public sealed class ToneCurve
{
    /// <summary>Largest code.</summary>
    public const int White = ushort.MaxValue;

    // The inverse is tabulated over the fourth root of light: the darkest codes of every common encoding, up to gamma 2.6, then have many
    // steps each, and linear interpolation between 16384 steps stays within a few hundredths of a code (measured in the tests).
    internal const int InverseSteps = 1 << 14;

    private readonly float[] _linear = new float[White + 1];
    private readonly float[] _codeOfRoot = new float[InverseSteps + 2];

    /// <summary>Tabulates a curve.</summary>
    /// <param name="decode">From encoded to linear, both 0 to 1; rising.</param>
    /// <exception cref="ArgumentException">The curve falls, or white is dark.</exception>
    public ToneCurve(Func<double, double> decode)
    {
        ArgumentNullException.ThrowIfNull(decode);
        double black = decode(0), range = decode(1) - black;
        if (!(range > 0.01))
            throw new ArgumentException("White is no brighter than black.", nameof(decode));
        var exact = new double[White + 1];
        for (int code = 0; code <= White; code++)
        {
            exact[code] = (decode(code / (double)White) - black) / range;
            _linear[code] = (float)exact[code];
            if (code > 0 && !(exact[code] >= exact[code - 1]))
                throw new ArgumentException("The curve falls, or is not a number.", nameof(decode));
        }
        int below = 0;
        for (int step = 0; step < _codeOfRoot.Length; step++)
        {
            double root = Math.Min(1, step / (double)InverseSteps), light = root * root * root * root;
            while (below < White - 1 && exact[below + 1] <= light)
                below++;
            double span = exact[below + 1] - exact[below];
            _codeOfRoot[step] = (float)(below + (span > 0 ? Math.Clamp((light - exact[below]) / span, 0, 1) : 0));
        }
    }

    /// <summary>Linear light of a code, 0 to 1.</summary>
    public float Linear(ushort code) => _linear[code];

    /// <summary>Linear light of a code between the whole ones; codes outside 0 to 65535 are clipped.</summary>
    public float Linear(float code)
    {
        float at = Math.Clamp(code, 0f, White);
        int below = Math.Min((int)at, White - 1);
        float low = _linear[below];
        return low + (at - below) * (_linear[below + 1] - low);
    }

    /// <summary>Linear light of eight codes.</summary>
    internal Vector256<float> Linear(Vector128<ushort> codes) => CodeRow.Gather(_linear, CodeRow.Widen(codes));

    /// <summary>Code of linear light, not rounded; light outside 0 to 1 is clipped.</summary>
    public float Code(float linear) => Look(_codeOfRoot, linear);

    /// <summary>The inverse's table: codes over the fourth root of light, <see cref="InverseSteps"/> steps to white.</summary>
    internal float[] CodeOfRoot => _codeOfRoot;

    /// <summary>Looks up light in such a table.</summary>
    internal static float Look(float[] codeOfRoot, float linear)
    {
        float at = MathF.Sqrt(MathF.Sqrt(Math.Clamp(linear, 0f, 1f))) * InverseSteps;
        int below = (int)at;
        float low = codeOfRoot[below];
        return low + (at - below) * (codeOfRoot[below + 1] - low);
    }

    /// <summary>Looks up eight lights.</summary>
    internal static Vector256<float> Look(float[] codeOfRoot, Vector256<float> linear)
    {
        Vector256<float> clipped = Vector256.Min(Vector256.Max(linear, Vector256<float>.Zero), Vector256<float>.One);
        Vector256<float> at = Vector256.Sqrt(Vector256.Sqrt(clipped)) * InverseSteps;
        Vector256<int> below = Vector256.ConvertToInt32(at);
        Vector256<float> low = CodeRow.Gather(codeOfRoot, below), high = CodeRow.Gather(codeOfRoot, below + Vector256<int>.One);
        return low + (at - Vector256.ConvertToSingle(below)) * (high - low);
    }
}
