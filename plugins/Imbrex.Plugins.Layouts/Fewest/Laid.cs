using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>A tile laid at a place that its station reaches.</summary>
/// <param name="Station">How the body stands, and what the tile holds.</param>
/// <param name="X">The tile's middle across, mm.</param>
/// <param name="Y">The tile's middle down, mm.</param>
internal readonly record struct Laid(Station Station, double X, double Y)
{
    public double Left => X - Station.Held.Width / 2;

    public double Right => X + Station.Held.Width / 2;

    public double Top => Y - Station.Held.Height / 2;

    public double Bottom => Y + Station.Held.Height / 2;

    public Tile ToTile() => new(new SensorPose(new(X, Y), Station.Turn));
}
