using System.Numerics.Tensors;

namespace Imbrex.Judging;

/// <summary>
/// Structural similarity (Wang, Bovik, Sheikh and Simoncelli, IEEE TIP 13(4) 600-612, 2004): Gaussian window 11 px wide of standard deviation 1.5,
/// K1 = 0.01, K2 = 0.03. Constants from memory.
/// </summary>
internal sealed class Ssim
{
    /// <summary>Pixels that the window needs on every side.</summary>
    public const int Reach = 5;

    private const float C1 = 0.01f * 0.01f, C2 = 0.03f * 0.03f;

    private static readonly float[] Window = BuildWindow();

    private float[] _maps = [];
    private float[] _lines = [];

    /// <summary>Sums the similarity over the inner pixels of two pictures, whose range is 0 to 1.</summary>
    /// <param name="a">One picture.</param>
    /// <param name="b">The other.</param>
    /// <param name="width">Columns, <see cref="Reach"/> on both sides included.</param>
    /// <param name="height">Rows, <see cref="Reach"/> on both sides included.</param>
    /// <returns>The sum over (width - 10) x (height - 10) pixels.</returns>
    public double Sum(ReadOnlySpan<float> a, ReadOnlySpan<float> b, int width, int height)
    {
        int size = width * height, inner = width - 2 * Reach;
        if (_maps.Length < 3 * size)
            _maps = new float[3 * size];
        if (_lines.Length < 6 * width)
            _lines = new float[6 * width];
        Span<float> aa = _maps.AsSpan(0, size), bb = _maps.AsSpan(size, size), ab = _maps.AsSpan(2 * size, size);
        TensorPrimitives.Multiply(a[..size], a[..size], aa);
        TensorPrimitives.Multiply(b[..size], b[..size], bb);
        TensorPrimitives.Multiply(a[..size], b[..size], ab);
        Span<float> tall = _lines.AsSpan(0, width);
        Span<float> ma = Line(1, width, inner), mb = Line(2, width, inner), maa = Line(3, width, inner), mbb = Line(4, width, inner), mab = Line(5, width, inner);
        double sum = 0;
        for (int row = 0; row + 2 * Reach < height; row++)
        {
            Smooth(a, row, width, tall, ma);
            Smooth(b, row, width, tall, mb);
            Smooth(aa, row, width, tall, maa);
            Smooth(bb, row, width, tall, mbb);
            Smooth(ab, row, width, tall, mab);
            for (int x = 0; x < inner; x++)
            {
                float means = ma[x] * mb[x], squares = ma[x] * ma[x] + mb[x] * mb[x];
                sum += (2 * means + C1) * (2 * (mab[x] - means) + C2) / ((squares + C1) * (maa[x] + mbb[x] - squares + C2));
            }
        }
        return sum;
    }

    private Span<float> Line(int which, int width, int length) => _lines.AsSpan(which * width, length);

    private static void Smooth(ReadOnlySpan<float> picture, int row, int width, Span<float> tall, Span<float> smooth)
    {
        tall.Clear();
        for (int i = 0; i < Window.Length; i++)
            TensorPrimitives.MultiplyAdd(picture.Slice((row + i) * width, width), Window[i], tall, tall);
        smooth.Clear();
        for (int i = 0; i < Window.Length; i++)
            TensorPrimitives.MultiplyAdd(tall.Slice(i, smooth.Length), Window[i], smooth, smooth);
    }

    private static float[] BuildWindow()
    {
        double[] window = [.. Enumerable.Range(-Reach, 2 * Reach + 1).Select(i => Math.Exp(-0.5 * i * i / (1.5 * 1.5)))];
        double sum = window.Sum();
        return [.. window.Select(weight => (float)(weight / sum))];
    }
}
