using System.Buffers;
using System.Numerics.Tensors;

namespace Imbrex.Engine.Seams;

/// <summary>One value for each cell of a rectangle, and what is made of every cell's 3 x 3 neighbourhood; memory is lent by the pool.</summary>
internal sealed class CellPlane : IDisposable
{
    private readonly float[] _values;

    /// <summary>Lends a plane; its values are anything until they are set.</summary>
    public CellPlane(int width, int height)
    {
        (Width, Height) = (width, height);
        _values = ArrayPool<float>.Shared.Rent(Math.Max(width * height, 1));
    }

    public int Width { get; }

    public int Height { get; }

    public Span<float> All => _values.AsSpan(0, Width * Height);

    public Span<float> Row(int y) => _values.AsSpan(y * Width, Width);

    /// <summary>Sums over 3 x 3 cells, as many as there are.</summary>
    public void SumOfNine(CellPlane target) => Combine<Sum>(target);

    /// <summary>Smallest of 3 x 3 cells.</summary>
    public void LeastOfNine(CellPlane target) => Combine<Least>(target);

    /// <summary>Largest of 3 x 3 cells.</summary>
    public void MostOfNine(CellPlane target) => Combine<Most>(target);

    public void Dispose() => ArrayPool<float>.Shared.Return(_values);

    private void Combine<T>(CellPlane target)
        where T : IOperation
    {
        float[] rented = ArrayPool<float>.Shared.Rent(Width);
        Span<float> line = rented.AsSpan(0, Width);
        for (int y = 0; y < Height; y++)
        {
            Row(y).CopyTo(line);
            if (y > 0)
                T.Apply(line, Row(y - 1), line);
            if (y + 1 < Height)
                T.Apply(line, Row(y + 1), line);
            Span<float> to = target.Row(y);
            line.CopyTo(to);
            T.Apply(to[1..], line[..^1], to[1..]);
            T.Apply(to[..^1], line[1..], to[..^1]);
        }
        ArrayPool<float>.Shared.Return(rented);
    }

    private interface IOperation
    {
        static abstract void Apply(ReadOnlySpan<float> a, ReadOnlySpan<float> b, Span<float> target);
    }

    private readonly struct Sum : IOperation
    {
        public static void Apply(ReadOnlySpan<float> a, ReadOnlySpan<float> b, Span<float> target) => TensorPrimitives.Add(a, b, target);
    }

    private readonly struct Least : IOperation
    {
        public static void Apply(ReadOnlySpan<float> a, ReadOnlySpan<float> b, Span<float> target) => TensorPrimitives.Min(a, b, target);
    }

    private readonly struct Most : IOperation
    {
        public static void Apply(ReadOnlySpan<float> a, ReadOnlySpan<float> b, Span<float> target) => TensorPrimitives.Max(a, b, target);
    }
}
