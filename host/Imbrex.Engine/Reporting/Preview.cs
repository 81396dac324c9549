using System.Buffers;
using System.Numerics;
using Imbrex.Engine.Blending;
using NetVips;

namespace Imbrex.Engine.Reporting;

/// <summary>
/// The merged picture at a reduced size, gathered block by block while it is written, so that nothing is read back for the report. Blocks may come
/// from several threads, each pixel once.
/// </summary>
internal sealed class Preview
{
    /// <summary>Longest side, px.</summary>
    private const int MostSide = 1400;

    private const int Bands = 3;

    private readonly int _factor, _width, _height;
    private readonly ushort[] _samples;
    private readonly byte[] _profile;

    /// <summary>Prepares an empty preview.</summary>
    /// <param name="width">Pixels across the picture.</param>
    /// <param name="height">Pixels down the picture.</param>
    /// <param name="profile">Its colour profile; empty for none.</param>
    public Preview(int width, int height, byte[] profile)
    {
        _factor = (int)BitOperations.RoundUpToPowerOf2((uint)((Math.Max(width, height) + MostSide - 1) / MostSide));
        (_width, _height) = ((width + _factor - 1) / _factor, (height + _factor - 1) / _factor);
        _samples = new ushort[_width * _height * Bands];
        _profile = profile;
    }

    /// <summary>Takes a block in.</summary>
    /// <param name="block">Its place; its origin is a multiple of the largest power of two that a picture needs.</param>
    /// <param name="samples">Its interleaved samples.</param>
    /// <param name="bands">3, or 4 with alpha, of which holes have none: they show white.</param>
    public void Add(CanvasArea block, ReadOnlySpan<ushort> samples, int bands)
    {
        int row = block.Width * bands;
        uint[] sums = ArrayPool<uint>.Shared.Rent(row);
        for (int top = 0; top < block.Height; top += _factor)
        {
            int rows = Math.Min(_factor, block.Height - top);
            Array.Clear(sums, 0, row);
            for (int y = top; y < top + rows; y++)
                AddRow(samples.Slice(y * row, row), sums);
            for (int left = 0; left < block.Width; left += _factor)
            {
                int columns = Math.Min(_factor, block.Width - left);
                int cell = (((block.Y + top) / _factor * _width) + ((block.X + left) / _factor)) * Bands;
                Average(sums.AsSpan(left * bands, columns * bands), bands, (uint)(rows * columns), _samples.AsSpan(cell, Bands));
            }
        }
        ArrayPool<uint>.Shared.Return(sums);
    }

    /// <summary>The preview in sRGB as a JPEG.</summary>
    public byte[] ToJpeg()
    {
        using Image plain = Image.NewFromMemory<ushort>(_samples, _width, _height, Bands, Enums.BandFormat.Ushort);
        using Image rgb = plain.Copy(interpretation: Enums.Interpretation.Rgb16);
        using Image tagged = _profile.Length == 0 ? rgb.Copy() : rgb.Mutate(image => image.Set(GValue.BlobType, "icc-profile-data", _profile));
        using Image thumbnail = tagged.ThumbnailImage(MostSide, height: MostSide, size: Enums.Size.Down, outputProfile: "srgb");
        return thumbnail.JpegsaveBuffer(q: 85, keep: Enums.ForeignKeep.None);
    }

    private static void AddRow(ReadOnlySpan<ushort> samples, uint[] sums)
    {
        int i = 0;
        for (; i <= samples.Length - Vector<ushort>.Count; i += Vector<ushort>.Count)
        {
            Vector.Widen(new Vector<ushort>(samples[i..]), out Vector<uint> low, out Vector<uint> high);
            (new Vector<uint>(sums, i) + low).CopyTo(sums, i);
            (new Vector<uint>(sums, i + Vector<uint>.Count) + high).CopyTo(sums, i + Vector<uint>.Count);
        }
        for (; i < samples.Length; i++)
            sums[i] += samples[i];
    }

    private static void Average(ReadOnlySpan<uint> sums, int bands, uint pixels, Span<ushort> target)
    {
        Span<ulong> total = stackalloc ulong[4];
        total.Clear();
        for (int i = 0; i < sums.Length; i += bands)
        {
            for (int band = 0; band < bands; band++)
                total[band] += sums[i + band];
        }
        // Holes are all 0, their alpha too: what is missing in alpha is white.
        ulong white = bands > Bands ? (pixels * (ulong)ushort.MaxValue) - total[Bands] : 0;
        for (int band = 0; band < Bands; band++)
            target[band] = (ushort)((total[band] + white) / pixels);
    }
}
