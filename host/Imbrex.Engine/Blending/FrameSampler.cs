using System.Buffers;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Shows one frame on the canvas: its light evened out by the gain, resampled once; frames at whole-pixel placements are only copied.
/// Values stay in the frame's own encoding. Safe to use from several threads.
/// </summary>
internal sealed class FrameSampler
{
    private readonly Frame _frame;
    private readonly Placement _placement;
    private readonly Evening _evening;

    /// <summary>Prepares a frame.</summary>
    /// <param name="frame">The pixels.</param>
    /// <param name="placement">Where it lies.</param>
    /// <param name="evening">How its light is evened out.</param>
    public FrameSampler(Frame frame, Placement placement, Evening evening) => (_frame, _placement, _evening) = (frame, placement, evening);

    /// <summary>Samples an area of the canvas; beyond the frame's edge its outermost pixels are repeated.</summary>
    /// <param name="area">The area.</param>
    /// <param name="planes">Receives three planes of the area's size.</param>
    public void Sample(CanvasArea area, float[] planes)
    {
        var target = new Planar(planes, area.Width, area.Height, Frame.Bands);
        RigidMap map = MapFrom(area);
        (int left, int top, int right, int bottom) = SourceBox(map, area);
        int width = right - left + 1, height = bottom - top + 1;
        float[] pixels = ArrayPool<float>.Shared.Rent(width * height * Frame.Bands);
        try
        {
            var source = new Planar(pixels, width, height, Frame.Bands);
            ReadGained(left, top, source);
            var local = map with { X = map.X - left, Y = map.Y - top };
            if (map.IsWhole)
                Copy(source, target, (int)local.X, (int)local.Y);
            else
                Resampler.Resample(source, target, local);
        }
        finally
        {
            ArrayPool<float>.Shared.Return(pixels);
        }
    }

    private RigidMap MapFrom(CanvasArea area)
    {
        (double x, double y) = _placement.ToFrame(area.X, area.Y);
        return new(x + _frame.CentreX, y + _frame.CentreY, -_placement.Angle);
    }

    private static (int Left, int Top, int Right, int Bottom) SourceBox(RigidMap map, CanvasArea area)
    {
        (double sin, double cos) = Math.SinCos(map.Angle);
        double x1 = (area.Width - 1) * cos, x2 = -(area.Height - 1) * sin, y1 = (area.Width - 1) * sin, y2 = (area.Height - 1) * cos;
        double left = map.X + Math.Min(0, x1) + Math.Min(0, x2), right = map.X + Math.Max(0, x1) + Math.Max(0, x2);
        double top = map.Y + Math.Min(0, y1) + Math.Min(0, y2), bottom = map.Y + Math.Max(0, y1) + Math.Max(0, y2);
        return ((int)Math.Floor(left) - Kernel.Margin, (int)Math.Floor(top) - Kernel.Margin,
            (int)Math.Ceiling(right) + Kernel.Margin, (int)Math.Ceiling(bottom) + Kernel.Margin);
    }

    // Reads what the frame has of the box and repeats its rim for the rest.
    private void ReadGained(int left, int top, Planar source)
    {
        int x0 = Math.Clamp(left, 0, _frame.Width - 1), x1 = Math.Clamp(left + source.Width - 1, 0, _frame.Width - 1);
        int y0 = Math.Clamp(top, 0, _frame.Height - 1), y1 = Math.Clamp(top + source.Height - 1, 0, _frame.Height - 1);
        int width = x1 - x0 + 1, height = y1 - y0 + 1;
        ushort[] codes = ArrayPool<ushort>.Shared.Rent(width * height * Frame.Bands);
        try
        {
            _frame.ReadBlock(x0, y0, width, height, codes);
            for (int row = 0; row < source.Height; row++)
            {
                int y = Math.Clamp(top + row, y0, y1);
                ReadOnlySpan<ushort> line = codes.AsSpan((y - y0) * width * Frame.Bands, width * Frame.Bands);
                for (int band = 0; band < Frame.Bands; band++)
                {
                    Span<float> target = source.Pixels.AsSpan(band * source.PlaneSize + row * source.Width, source.Width);
                    _evening.Row(line[band..], band, x0 - _frame.CentreX, y - _frame.CentreY, target.Slice(x0 - left, width));
                    target[..(x0 - left)].Fill(target[x0 - left]);
                    target[(x0 - left + width)..].Fill(target[x0 - left + width - 1]);
                }
            }
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(codes);
        }
    }

    private static void Copy(Planar source, Planar target, int x, int y)
    {
        for (int plane = 0; plane < source.Planes; plane++)
        {
            for (int row = 0; row < target.Height; row++)
            {
                source.Pixels.AsSpan(plane * source.PlaneSize + (y + row) * source.Width + x, target.Width)
                    .CopyTo(target.Pixels.AsSpan(plane * target.PlaneSize + row * target.Width));
            }
        }
    }
}
