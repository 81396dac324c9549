namespace Imbrex.Sdk.Geometry;

/// <summary>One exposure of a layout: the sensor's rectangle on the image plane.</summary>
/// <param name="Pose">Where the sensor stands.</param>
/// <param name="Id">A name of the author's, unique in the layout, or null: the plan then numbers the tiles t1, t2, …</param>
public sealed record Tile(SensorPose Pose, string? Id = null);
