using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Blending;

/// <summary>Rows that lie on whole pixels already.</summary>
/// <param name="source">The frame's rows, from the target's first column on.</param>
/// <param name="top">The frame's row under the target's first.</param>
/// <param name="width">Columns.</param>
internal sealed class CopiedRows(SourceRows source, int top, int width) : ITargetRows
{
    /// <inheritdoc/>
    public void FillRow(int row, Span<float> target, int stride) => source.Fill(top + row, target, stride);

    /// <summary>Fills all rows.</summary>
    public void FillAll(Planar target)
    {
        for (int row = 0; row < target.Height; row++)
            FillRow(row, target.Pixels.AsSpan(row * width), target.PlaneSize);
    }
}

/// <summary>Rows that have been computed.</summary>
internal sealed class PlanarRows(Planar planes) : ITargetRows
{
    /// <inheritdoc/>
    public void FillRow(int row, Span<float> target, int stride)
    {
        for (int plane = 0; plane < planes.Planes; plane++)
            planes.Pixels.AsSpan(plane * planes.PlaneSize + row * planes.Width, planes.Width).CopyTo(target[(plane * stride)..]);
    }
}
