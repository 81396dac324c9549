using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Photometry;

/// <summary>From linear light, which may exceed white, to the codes of one channel under a shoulder, by one table. Immutable and thread-safe.</summary>
internal sealed class LightEncoder
{
    private readonly float[] _codeOfRoot;
    private readonly float _scale;

    /// <summary>Tabulates an encoder.</summary>
    /// <param name="curve">The channel's encoding.</param>
    /// <param name="shoulder">What becomes of light above white.</param>
    public LightEncoder(ToneCurve curve, Shoulder shoulder)
    {
        (_codeOfRoot, _scale) = (curve.CodeOfRoot, 1);
        if (shoulder.IsNone)
            return;
        _codeOfRoot = new float[curve.CodeOfRoot.Length];
        _scale = (float)(1 / shoulder.Top);
        for (int step = 0; step < _codeOfRoot.Length; step++)
        {
            double root = Math.Min(1, step / (double)ToneCurve.InverseSteps), light = root * root * root * root * shoulder.Top;
            _codeOfRoot[step] = curve.Code((float)shoulder.Apply(light));
        }
    }

    /// <summary>The code of light, not rounded.</summary>
    public float Code(float light) => ToneCurve.Look(_codeOfRoot, light * _scale);

    /// <summary>The codes of eight lights.</summary>
    public Vector256<float> Code(Vector256<float> light) => ToneCurve.Look(_codeOfRoot, light * _scale);
}
