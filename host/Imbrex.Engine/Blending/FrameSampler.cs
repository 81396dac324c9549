using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Shows one frame on the canvas: its light evened out by the gain, resampled once; frames at whole-pixel placements are only copied.
/// Values stay in the frame's own encoding. Safe to use from several threads, each with its own bench.
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
    /// <param name="bench">The calling thread's memory.</param>
    public void Sample(CanvasArea area, Span<float> planes, SamplerBench bench)
    {
        ITargetRows rows = Rows(area, bench);
        for (int row = 0; row < area.Height; row++)
            rows.FillRow(row, planes[(row * area.Width)..], area.Size);
    }

    /// <inheritdoc cref="Sample(CanvasArea, Span{float}, SamplerBench)"/>
    public void Sample(CanvasArea area, Span<float> planes) => Sample(area, planes, new());

    /// <summary>The rows of an area of the canvas, one at a time; they take the bench until the last is filled.</summary>
    public ITargetRows Rows(CanvasArea area, SamplerBench bench)
    {
        PlaneMap map = MapFrom(area.X, area.Y);
        if (map.IsWhole)
            return new CopiedRows(SourceRows((int)map.X0, area.Width, (int)map.Y0 + area.Height, bench), (int)map.Y0, area.Width);
        (int left, int top, int right, int bottom) = SourceBox(map, area);
        SourceRows source = SourceRows(left, right - left + 1, bottom, bench);
        if (map.IsNearlyLevel)
            return new TwoPass<SourceRows>(source, map.From(left, 0), area.Width, right - left + 1, Frame.Bands, bench.Passes);
        var box = Planar.Allocate(right - left + 1, bottom - top + 1, Frame.Bands);
        new CopiedRows(source, top, box.Width).FillAll(box);
        var target = Planar.Allocate(area.Width, area.Height, Frame.Bands);
        Resampler.PixelByPixel(box, target, map.From(left, top));
        return new PlanarRows(target);
    }

    /// <summary>Gives memory back when nobody samples the frame any more.</summary>
    public void Rest() => _evening.Rest();

    /// <summary>Whether an area shows the frame's own codes, unchanged.</summary>
    public bool IsCopy(CanvasArea area) => _evening.IsNone && MapFrom(area.X, area.Y) is { IsWhole: true } map
        && map.X0 >= 0 && map.Y0 >= 0 && map.X0 + area.Width <= _frame.Width && map.Y0 + area.Height <= _frame.Height;

    /// <summary>Copies an area that <see cref="IsCopy"/>.</summary>
    public void Copy(CanvasArea area, Span<ushort> samples)
    {
        PlaneMap map = MapFrom(area.X, area.Y);
        _frame.ReadBlock((int)map.X0, (int)map.Y0, area.Width, area.Height, samples);
    }

    // The inverse of canvas = (X, Y) + R (I + E) d / (1 + g.d): with u = (I + E)^-1 R^-1 (canvas - (X, Y)), d = u / (1 - g.u).
    private PlaneMap MapFrom(int canvasX, int canvasY)
    {
        (double sin, double cos) = Math.SinCos(_placement.Angle);
        (double cx, double cy) = (_frame.CentreX, _frame.CentreY);
        if (_placement.Warp.IsNone)
        {
            // Not through the inverse: what lies at whole pixels must come out as whole numbers.
            (double x, double y) = _placement.ToFrame(canvasX, canvasY);
            return new(cos, sin, x + cx, -sin, cos, y + cy);
        }
        Warp e = _placement.Warp;
        double a = 1 + e.Xx, b = e.Xy, c = e.Yx, d = 1 + e.Yy, det = a * d - b * c;
        // u = U (canvas - (X, Y)).
        double uxx = (d * cos + b * sin) / det, uxy = (d * sin - b * cos) / det, uyx = (-c * cos - a * sin) / det, uyy = (a * cos - c * sin) / det;
        double wx = -(e.Gx * uxx + e.Gy * uyx), wy = -(e.Gx * uxy + e.Gy * uyy);
        // About the placement's own point, then from the area's first pixel on.
        var about = new PlaneMap(uxx + cx * wx, uxy + cx * wy, cx, uyx + cy * wx, uyy + cy * wy, cy, wx, wy);
        return about.Of(canvasX - _placement.X, canvasY - _placement.Y);
    }

    // What may be asked of the frame: the corners decide, a few rows and columns added for the kernel and the last eight pixels of a row.
    private static (int Left, int Top, int Right, int Bottom) SourceBox(PlaneMap map, CanvasArea area)
    {
        const int More = EightWeights.Lanes;
        (double left, double top, double right, double bottom) = (double.MaxValue, double.MaxValue, double.MinValue, double.MinValue);
        foreach ((double column, double row) in new[] { (0.0, 0.0), (area.Width, 0), (0, area.Height), (area.Width, area.Height) })
        {
            (double x, double y) = map.At(column, row);
            (left, top, right, bottom) = (Math.Min(left, x), Math.Min(top, y), Math.Max(right, x), Math.Max(bottom, y));
        }
        (top, bottom) = (Math.Floor(top) - Kernel.Margin, Math.Ceiling(bottom) + Kernel.Margin);
        for (int corner = 0; corner < 4 && map.IsNearlyLevel; corner++)
        {
            // In two passes whole rows are done, also where they leave the area.
            double x = map.ColumnAt((corner & 1) * area.Width, corner < 2 ? top : bottom);
            (left, right) = (Math.Min(left, x), Math.Max(right, x));
        }
        return ((int)Math.Floor(left) - Kernel.Margin, (int)top, (int)Math.Ceiling(right) + Kernel.Margin + More, (int)bottom);
    }

    private SourceRows SourceRows(int left, int width, int end, SamplerBench bench) => new(_frame, _evening, left, width, end, bench);
}
