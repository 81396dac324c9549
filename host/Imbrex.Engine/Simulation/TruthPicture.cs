using System.Numerics;
using Imbrex.Engine.Planning;

namespace Imbrex.Engine.Simulation;

/// <summary>A motion that a merged picture has in common with all its tiles, which no overlap can show.</summary>
/// <param name="ShiftX">Pixels of the scene to the right.</param>
/// <param name="ShiftY">Pixels of the scene down.</param>
/// <param name="RotationDeg">Degrees clockwise about the canvas's centre.</param>
public readonly record struct CommonMotion(double ShiftX, double ShiftY, double RotationDeg);

/// <summary>
/// The picture that a perfect merge of the simulated frames would give: the scene under the lens's own falloff, which is fixed
/// to the scene and therefore stays, without noise and without the faults of single frames.
/// </summary>
public sealed class TruthPicture(IScene scene, Canvas canvas, CameraFaults faults)
{
    /// <summary>Reads a block of the canvas as 16-bit sRGB, three samples per pixel.</summary>
    /// <param name="block">The block.</param>
    /// <param name="rgb">Receives the samples.</param>
    /// <param name="motion">The merged picture's own motion: its pixel p shows the scene at centre + R (p - centre) + shift.</param>
    public void Read(PixelBlock block, Span<ushort> rgb, CommonMotion motion = default)
    {
        var grid = FrameGrid.OfCentre((canvas.Width - 1) / 2.0 + motion.ShiftX, (canvas.Height - 1) / 2.0 + motion.ShiftY,
            motion.RotationDeg, canvas.Width, canvas.Height);
        var light = new Exposure
        {
            Width = canvas.Width,
            Height = canvas.Height,
            Grid = grid,
            Axis = canvas.ToPixel(faults.PupilFoot),
            ImageDistance = faults.ImageDistanceMm * canvas.PxPerMm,
            Gain = Vector3.One * float.Exp2((float)faults.ExposureStops),
        };
        var samples = new float[block.Area * 4];
        new SceneSampler(scene).Sample(grid, block, samples);
        light.Record(samples, block, rgb, block.Width * 3);
    }
}
