using System.Numerics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>One exposure of the simulated camera: everything that is decided before any pixel is made.</summary>
/// <param name="Number">Place in the shooting order, from 0.</param>
/// <param name="Truth">Where it came to stand, in the terms of mosaic.json.</param>
/// <param name="Light">From scene light to samples.</param>
/// <param name="Blur">Its defocus, or null.</param>
/// <param name="Tag">Exif orientation.</param>
internal sealed record Shot(int Number, TruthTilePart Truth, Exposure Light, SeparableFilter? Blur, int Tag)
{
    public static Shot Of(PlanDocument plan, int number, Canvas canvas, CameraFaults faults, Vector3 gain, ShadingPart shading)
    {
        ISensor sensor = plan.TheSensor();
        TilePart tile = plan.Tiles[number];
        SensorPose pose = tile.ToPose();
        (PlanePoint shift, double askew) = ShotFaults.Pose(faults, number);
        (double x, double y) = canvas.ToPixel(pose.Centre + shift);

        // The half turn between image plane and upright scene leaves the sense of rotation as it is, so that a body turned clockwise
        // records a file that must be turned clockwise, by the same angle, to stand upright.
        bool baked = faults.Orientation == FileOrientation.Baked && pose.Turn.IsUpright();
        double bakedTurn = baked ? pose.Turn.Degrees() : 0;
        double rotation = Angles.Wrap(pose.Turn.Degrees() - bakedTurn + pose.Rotation + askew);
        (int width, int height) = baked ? (sensor.HeightPx, sensor.WidthPx) : (sensor.WidthPx, sensor.HeightPx);

        var truth = new TruthTilePart
        {
            Id = tile.Id,
            File = tile.File ?? FormattableString.Invariant($"frame-{number + 1:000}.tif"),
            XPx = x,
            YPx = y,
            RotationDeg = rotation,
            Gain = [1.0 / gain.X, 1.0 / gain.Y, 1.0 / gain.Z],
        };
        var light = new Exposure
        {
            Width = width,
            Height = height,
            Grid = FrameGrid.OfCentre(x, y, rotation, width, height),
            Axis = canvas.Axis,
            ImageDistance = faults.ImageDistanceMm * canvas.PxPerMm,
            Gain = gain * float.Exp2((float)faults.ExposureStops),
            Shading = shading,
            BakedTurn = bakedTurn,
            ReadNoise = faults.ReadNoise,
            FullWell = faults.FullWell,
            NoiseKey = CounterNoise.Bits(faults.Seed, number, 100),
        };
        SeparableFilter? blur = faults.DefocusedTile == tile.Id ? SeparableFilter.Gaussian(faults.DefocusPx) : null;
        int tag = faults.Orientation switch
        {
            FileOrientation.Tagged => TagOf(pose.Turn),
            FileOrientation.Stale => TagOf(Turns.FromDegrees(plan.Tiles[0].TurnDeg)),
            _ => 1,
        };
        return new(number, truth, light, blur, tag);
    }

    // Exif 2.3, tag 274: 6 is shown a quarter turned clockwise, 3 half, 8 three quarters.
    private static int TagOf(Turn turn) => turn switch
    {
        Turn.Quarter => 6,
        Turn.Half => 3,
        Turn.ThreeQuarters => 8,
        _ => 1,
    };
}
