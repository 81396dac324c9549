using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Blending;

/// <summary>
/// The two operators of the pyramid of Burt and Adelson (ACM TOG 2(4) 1983) with the kernel [1 4 6 4 1]/16: halve a picture, and
/// double it again. Sides are multiples of 2; beyond the rim the outermost pixels are repeated.
/// </summary>
internal static class Pyramid
{
    private const int Lanes = 8;

    /// <summary>
    /// Pixels around a block that may influence it with so many levels n, if the block begins and ends at multiples of 2^n. Its last pixel
    /// is doubled from coarse pixels up to 2^n to the right of the block's end, and each of those was halved from pixels up to 2 (2^n - 1) away: 3 * 2^n - 1
    /// to the right and, as its first pixel lies on a coarse one, 3 * 2^n - 2 to the left. A multiple of 2^n, so that blocks stay aligned with the full
    /// picture's pyramid.
    /// </summary>
    public static int Reach(int levels) => levels == 0 ? 0 : 3 << levels;

    /// <summary>Halves a picture.</summary>
    /// <param name="source">The picture.</param>
    /// <param name="width">Its columns, even.</param>
    /// <param name="height">Its rows, even.</param>
    /// <param name="target">Receives width/2 * height/2 values.</param>
    /// <param name="line">Scratch of at least <paramref name="width"/> values.</param>
    public static void Reduce(ReadOnlySpan<float> source, int width, int height, Span<float> target, Span<float> line)
    {
        int halfWidth = width / 2;
        for (int y = 0; y < height; y += 2)
        {
            ReadOnlySpan<float> above2 = source.Slice(Math.Max(y - 2, 0) * width, width), above1 = source.Slice(Math.Max(y - 1, 0) * width, width);
            ReadOnlySpan<float> here = source.Slice(y * width, width), below1 = source.Slice((y + 1) * width, width);
            ReadOnlySpan<float> below2 = source.Slice(Math.Min(y + 2, height - 1) * width, width);
            ReduceRows(above2, above1, here, below1, below2, target.Slice(y / 2 * halfWidth, halfWidth), line);
        }
    }

    /// <summary>Halves five rows, as long as each other, to one.</summary>
    /// <param name="above2">The first of them.</param>
    /// <param name="above1">The second.</param>
    /// <param name="here">The middle one.</param>
    /// <param name="below1">The fourth.</param>
    /// <param name="below2">The last.</param>
    /// <param name="target">Receives half as many values.</param>
    /// <param name="line">Scratch of at least as many values as the rows.</param>
    public static void ReduceRows(ReadOnlySpan<float> above2, ReadOnlySpan<float> above1, ReadOnlySpan<float> here, ReadOnlySpan<float> below1, ReadOnlySpan<float> below2,
        Span<float> target, Span<float> line)
    {
        Span<float> even = line[..target.Length], odd = line.Slice(target.Length, target.Length);
        ReduceColumns(above2, above1, here, below1, below2, even, odd);
        ReduceRow(even, odd, target);
    }

    /// <summary>Doubles a picture and adds it to another: target += factor * doubled.</summary>
    /// <param name="source">The small picture.</param>
    /// <param name="width">Columns of the target, even.</param>
    /// <param name="height">Rows of the target, even.</param>
    /// <param name="factor">+1 when collapsing, -1 when taking differences.</param>
    /// <param name="target">The large picture.</param>
    /// <param name="line">Scratch of at least <paramref name="width"/> values.</param>
    public static void AddExpanded(ReadOnlySpan<float> source, int width, int height, float factor, Span<float> target, Span<float> line)
    {
        for (int y = 0; y < height; y++)
            AddExpandedRow(source, width / 2, height / 2, y, factor, target.Slice(y * width, width), line);
    }

    /// <summary>Doubles a picture, one row of it, and adds that to another: target += factor * doubled.</summary>
    /// <param name="source">The small picture.</param>
    /// <param name="halfWidth">Its columns.</param>
    /// <param name="halfHeight">Its rows.</param>
    /// <param name="y">The row of the doubled picture.</param>
    /// <param name="factor">The factor.</param>
    /// <param name="target">Twice <paramref name="halfWidth"/> values.</param>
    /// <param name="line">Scratch of at least <paramref name="halfWidth"/> values.</param>
    public static void AddExpandedRow(ReadOnlySpan<float> source, int halfWidth, int halfHeight, int y, float factor, Span<float> target, Span<float> line)
    {
        Span<float> between = line[..halfWidth];
        ReadOnlySpan<float> here = source.Slice(y / 2 * halfWidth, halfWidth);
        ReadOnlySpan<float> above = source.Slice(Math.Max(y / 2 - 1, 0) * halfWidth, halfWidth);
        ReadOnlySpan<float> below = source.Slice(Math.Min(y / 2 + 1, halfHeight - 1) * halfWidth, halfWidth);
        if ((y & 1) == 0)
            Weighted(above, here, below, 0.125f * factor, 0.75f * factor, between);
        else
            Halfway(here, below, 0.5f * factor, between);
        AddDoubled(between, target);
    }

    private static void ReduceColumns(ReadOnlySpan<float> above2, ReadOnlySpan<float> above1, ReadOnlySpan<float> here, ReadOnlySpan<float> below1,
        ReadOnlySpan<float> below2, Span<float> even, Span<float> odd)
    {
        int x = 0, width = here.Length;
        for (; x <= width - 2 * Lanes; x += 2 * Lanes)
        {
            Vector256<float> left = Sum(x, above2, above1, here, below1, below2), right = Sum(x + Lanes, above2, above1, here, below1, below2);
            Split(left, right, out Vector256<float> evens, out Vector256<float> odds);
            evens.StoreUnsafe(ref even[x / 2]);
            odds.StoreUnsafe(ref odd[x / 2]);
        }
        for (; x < width; x += 2)
        {
            even[x / 2] = above2[x] + below2[x] + 4 * (above1[x] + below1[x]) + 6 * here[x];
            odd[x / 2] = above2[x + 1] + below2[x + 1] + 4 * (above1[x + 1] + below1[x + 1]) + 6 * here[x + 1];
        }

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        static Vector256<float> Sum(int at, ReadOnlySpan<float> a2, ReadOnlySpan<float> a1, ReadOnlySpan<float> h, ReadOnlySpan<float> b1, ReadOnlySpan<float> b2)
        {
            Vector256<float> outer = Load(a2, at) + Load(b2, at), inner = Load(a1, at) + Load(b1, at);
            return Vector256.FusedMultiplyAdd(Load(h, at), Vector256.Create(6f), Vector256.FusedMultiplyAdd(inner, Vector256.Create(4f), outer));
        }
    }

    // The columns were left 16 times too large.
    private static void ReduceRow(ReadOnlySpan<float> even, ReadOnlySpan<float> odd, Span<float> half)
    {
        const float Scale = 1f / 256;
        int last = half.Length - 1, x = 1;
        half[0] = (even[0] + (last > 0 ? even[1] : odd[0]) + 4 * (even[0] + odd[0]) + 6 * even[0]) * Scale;
        Vector256<float> four = Vector256.Create(4f), six = Vector256.Create(6f), scale = Vector256.Create(Scale);
        for (; x < half.Length - Lanes; x += Lanes)
        {
            Vector256<float> outer = Load(even, x - 1) + Load(even, x + 1), inner = Load(odd, x - 1) + Load(odd, x);
            (Vector256.FusedMultiplyAdd(Load(even, x), six, Vector256.FusedMultiplyAdd(inner, four, outer)) * scale).StoreUnsafe(ref half[x]);
        }
        for (; x <= last; x++)
            half[x] = (even[x - 1] + (x < last ? even[x + 1] : odd[x]) + 4 * (odd[x - 1] + odd[x]) + 6 * even[x]) * Scale;
    }

    private static void AddDoubled(ReadOnlySpan<float> between, Span<float> row)
    {
        int last = between.Length - 1, x = 1;
        row[0] += 0.875f * between[0] + 0.125f * between[Math.Min(1, last)];
        row[1] += 0.5f * (between[0] + between[Math.Min(1, last)]);
        Vector256<float> eighth = Vector256.Create(0.125f), most = Vector256.Create(0.75f), half = Vector256.Create(0.5f);
        for (; x < between.Length - Lanes; x += Lanes)
        {
            Vector256<float> here = Load(between, x), next = Load(between, x + 1);
            Vector256<float> even = Vector256.FusedMultiplyAdd(here, most, (Load(between, x - 1) + next) * eighth), odd = (here + next) * half;
            Merge(even, odd, out Vector256<float> left, out Vector256<float> right);
            (Load(row, 2 * x) + left).StoreUnsafe(ref row[2 * x]);
            (Load(row, 2 * x + Lanes) + right).StoreUnsafe(ref row[2 * x + Lanes]);
        }
        for (; x <= last; x++)
        {
            float next = between[Math.Min(x + 1, last)];
            row[2 * x] += 0.125f * (between[x - 1] + next) + 0.75f * between[x];
            row[2 * x + 1] += 0.5f * (between[x] + next);
        }
    }

    private static void Weighted(ReadOnlySpan<float> a, ReadOnlySpan<float> b, ReadOnlySpan<float> c, float outer, float inner, Span<float> target)
    {
        Vector256<float> outers = Vector256.Create(outer), inners = Vector256.Create(inner);
        int x = 0;
        for (; x <= target.Length - Lanes; x += Lanes)
            Vector256.FusedMultiplyAdd(Load(b, x), inners, (Load(a, x) + Load(c, x)) * outers).StoreUnsafe(ref target[x]);
        for (; x < target.Length; x++)
            target[x] = outer * (a[x] + c[x]) + inner * b[x];
    }

    private static void Halfway(ReadOnlySpan<float> a, ReadOnlySpan<float> b, float factor, Span<float> target)
    {
        Vector256<float> factors = Vector256.Create(factor);
        int x = 0;
        for (; x <= target.Length - Lanes; x += Lanes)
            ((Load(a, x) + Load(b, x)) * factors).StoreUnsafe(ref target[x]);
        for (; x < target.Length; x++)
            target[x] = factor * (a[x] + b[x]);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Load(ReadOnlySpan<float> values, int at) => Vector256.LoadUnsafe(ref MemoryMarshal.GetReference(values), (nuint)at);

    // Sixteen neighbours into the even and the odd ones.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Split(Vector256<float> left, Vector256<float> right, out Vector256<float> even, out Vector256<float> odd)
    {
        Vector256<float> upper = Vector256.Create(0, 0, 0, 0, -1, -1, -1, -1).AsSingle();
        even = Vector256.ConditionalSelect(upper, Vector256.Shuffle(right, Vector256.Create(0, 2, 4, 6, 0, 2, 4, 6)), Vector256.Shuffle(left, Vector256.Create(0, 2, 4, 6, 0, 2, 4, 6)));
        odd = Vector256.ConditionalSelect(upper, Vector256.Shuffle(right, Vector256.Create(1, 3, 5, 7, 1, 3, 5, 7)), Vector256.Shuffle(left, Vector256.Create(1, 3, 5, 7, 1, 3, 5, 7)));
    }

    // And back.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Merge(Vector256<float> even, Vector256<float> odd, out Vector256<float> left, out Vector256<float> right)
    {
        Vector256<float> second = Vector256.Create(0, -1, 0, -1, 0, -1, 0, -1).AsSingle();
        left = Vector256.ConditionalSelect(second, Vector256.Shuffle(odd, Vector256.Create(0, 0, 1, 1, 2, 2, 3, 3)), Vector256.Shuffle(even, Vector256.Create(0, 0, 1, 1, 2, 2, 3, 3)));
        right = Vector256.ConditionalSelect(second, Vector256.Shuffle(odd, Vector256.Create(4, 4, 5, 5, 6, 6, 7, 7)), Vector256.Shuffle(even, Vector256.Create(4, 4, 5, 5, 6, 6, 7, 7)));
    }
}
