namespace Imbrex.Sdk.Geometry;

/// <summary>
/// Where the sensor stands on the image plane for one exposure: the final pose, a turned-over back included.
/// </summary>
/// <param name="Centre">Centre of the sensor, mm on the image plane.</param>
/// <param name="Turn">The body's turn, clockwise seen from behind.</param>
/// <param name="Rotation">
/// What comes on top of <paramref name="Turn"/>, degrees clockwise: 0 except for backs that turn the sensor freely or sit askew.
/// </param>
public readonly record struct SensorPose(PlanePoint Centre, Turn Turn = Turn.None, double Rotation = 0)
{
    /// <summary>The whole rotation, degrees clockwise seen from behind, in (-180, 180].</summary>
    public double TotalRotation => Angles.Wrap(Turn.Degrees() + Rotation);

    /// <summary>The sensor's four corners on the image plane, clockwise as seen from behind.</summary>
    /// <param name="sensor">Size of the sensor with the body upright, mm.</param>
    public IReadOnlyList<PlanePoint> Corners(PlaneSize sensor)
    {
        (double w, double h) = (sensor.Width / 2, sensor.Height / 2);
        PlanePoint centre = Centre;
        double rotation = TotalRotation;
        return Array.ConvertAll<PlanePoint, PlanePoint>([new(-w, -h), new(w, -h), new(w, h), new(-w, h)], corner => centre + corner.Rotated(rotation));
    }
}
