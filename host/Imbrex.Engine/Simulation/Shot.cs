using System.Numerics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>One exposure of the simulated camera: everything that is decided before any pixel is made.</summary>
/// <param name="Number">Place in the shooting order, from 0.</param>
/// <param name="File">Name of its file.</param>
/// <param name="Stops">How much more light its exposure time gave it than the take's exposure.</param>
/// <param name="Light">From scene light to samples.</param>
/// <param name="Blur">Its defocus, or null.</param>
/// <param name="Shake">The way that the body moved meanwhile, stored px.</param>
/// <param name="Walkers">What stood before the scene.</param>
/// <param name="Tag">Exif orientation.</param>
internal sealed record Shot(int Number, string File, double Stops, Exposure Light, SeparableFilter? Blur, (double X, double Y) Shake, IReadOnlyList<Walker> Walkers, int Tag)
{
    /// <summary>Full rotation from stored pixels to the canvas, degrees.</summary>
    public required double Rotation { get; init; }

    public static Shot Of(PlanDocument plan, int number, int exposure, Canvas canvas, CameraFaults faults, TileLight tileLight)
    {
        ISensor sensor = plan.TheSensor();
        TilePart tile = plan.Tiles[number];
        SensorPose pose = tile.ToPose();
        (PlanePoint shift, double askew, double scale) = ShotFaults.Pose(faults, number);
        (double moveX, double moveY, double turned) = ShotFaults.Jitter(faults, number, exposure, Math.Sqrt(sensor.WidthPx * (double)sensor.WidthPx + sensor.HeightPx * (double)sensor.HeightPx) / 2);
        (double x, double y) = canvas.ToPixel(pose.Centre + shift);
        (x, y) = (x + moveX, y + moveY);

        // The half turn between image plane and upright scene leaves the sense of rotation as it is, so that a body turned clockwise
        // records a file that must be turned clockwise, by the same angle, to stand upright.
        bool baked = faults.Orientation == FileOrientation.Baked && pose.Turn.IsUpright();
        double bakedTurn = baked ? pose.Turn.Degrees() : 0;
        double rotation = Angles.Wrap(pose.Turn.Degrees() - bakedTurn + pose.Rotation + askew + turned);
        (int width, int height) = baked ? (sensor.HeightPx, sensor.WidthPx) : (sensor.WidthPx, sensor.HeightPx);
        (double axisX, double axisY) = canvas.ToPixel(faults.PupilFoot);
        bool over = tile.BackTurned ?? tile.Setting?.BackTurned ?? false;
        SensorDepth depth = faults.Stance.DepthOf((x - axisX, y - axisY), rotation, rotation + bakedTurn, over, canvas.PxPerMm);
        double stops = faults.Series.Stops(exposure);
        var light = new Exposure
        {
            Width = width,
            Height = height,
            Grid = FrameGrid.OfCentre(x, y, rotation, width, height, scale).Cast(depth, width, height, axisX, axisY, faults.Stance.ExitPupilMm * canvas.PxPerMm),
            Axis = (axisX, axisY),
            ImageDistance = faults.ImageDistanceMm * canvas.PxPerMm,
            Gain = tileLight.Gain * float.Exp2((float)(faults.ExposureStops + stops)),
            Glare = tileLight.Glare,
            Shading = tileLight.Shading,
            Openings = faults.Openings is { View: { } view } optics ? new(view, optics.Stops(pose with { Centre = pose.Centre + shift, Rotation = pose.Rotation + askew }, over), canvas) : null,
            BakedTurn = bakedTurn,
            ReadNoise = faults.ReadNoise,
            FullWell = faults.FullWell,
            NoiseKey = CounterNoise.Bits(faults.Seed, number, 100 + 1_000_000L * exposure),
        };
        SeparableFilter? blur = faults.DefocusedTile == tile.Id ? SeparableFilter.Gaussian(faults.DefocusPx) : null;
        (double X, double Y) shake = faults.ShakenTile == tile.Id ? (faults.ShakeXPx, faults.ShakeYPx) : default;
        int tag = faults.Orientation switch
        {
            FileOrientation.Tagged => TagOf(pose.Turn),
            FileOrientation.Stale => TagOf(Turns.FromDegrees(plan.Tiles[0].TurnDeg)),
            _ => 1,
        };
        return new(number * faults.Series.Exposures + exposure, FileOf(tile, number, exposure, faults.Series.Exposures), stops, light, blur, shake,
            [.. faults.Walkers.Where(walker => walker.Tile == tile.Id && walker.Exposure == exposure)], tag)
        { Rotation = rotation };
    }

    /// <summary>Where the frame's centre lies on the canvas.</summary>
    public (double X, double Y) Centre => Light.Grid.Map((Light.Width - 1) / 2.0, (Light.Height - 1) / 2.0);

    /// <summary>Where the centres of its corner pixels lie on the canvas, in stored order clockwise from the first pixel.</summary>
    public IReadOnlyList<IReadOnlyList<double>> Corners =>
        [.. new[] { (0, 0), (Light.Width - 1, 0), (Light.Width - 1, Light.Height - 1), (0, Light.Height - 1) }.Select(corner => Pair(Light.Grid.Map(corner.Item1, corner.Item2)))];

    /// <summary>The boxes of its walkers, or null.</summary>
    public IReadOnlyList<BoxPart>? Boxes => Walkers.Count == 0 ? null : [.. Walkers.Select(walker => walker.Box)];

    private static double[] Pair((double X, double Y) point) => [point.X, point.Y];

    private static string FileOf(TilePart tile, int number, int exposure, int exposures)
    {
        if (tile.Files is { } files && files.Count == exposures)
            return files[exposure];
        if (exposures == 1)
            return tile.File ?? FormattableString.Invariant($"frame-{number + 1:000}.tif");
        string name = tile.File ?? FormattableString.Invariant($"tile-{number + 1:000}.tif"), extension = Path.GetExtension(name);
        return FormattableString.Invariant($"{name[..^extension.Length]}-{exposure + 1}{extension}");
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

/// <summary>What all frames of one tile have in common in their light.</summary>
/// <param name="Gain">Factor on linear R, G, B; geometric mean over the tiles 1.</param>
/// <param name="Glare">Linear R, G, B on every pixel, before the gain.</param>
/// <param name="Shading">What is fixed to the sensor.</param>
internal readonly record struct TileLight(Vector3 Gain, Vector3 Glare, ShadingPart Shading);
