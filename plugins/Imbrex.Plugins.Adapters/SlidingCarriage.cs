using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Adapters;

/// <summary>A carriage on two slides at right angles, of which one may be a fixed height.</summary>
internal sealed class SlidingCarriage(Slide x, Slide y, CarriageTolerance tolerance) : Carriage
{
    public override CarriageTolerance Tolerance => tolerance;

    public override CarriagePose Place(IReadOnlyList<double> positions) => new(positions[0], y.IsFixed ? y.First : positions[1]);

    public override IReadOnlyList<double> Nearest(PlanePoint target, PlanePoint offset, double rotation)
    {
        PlanePoint place = target - offset;
        return y.IsFixed ? [x.Nearest(place.X)] : [x.Nearest(place.X), y.Nearest(place.Y)];
    }

    public override IEnumerable<string> Misses(PlanePoint target, PlanePoint offset)
    {
        PlanePoint place = target - offset;
        return new[] { x.Miss(place.X), y.Miss(place.Y) }.OfType<string>();
    }

    public override IEnumerable<PlanePoint> Extremes(PlanePoint offset) => [new PlanePoint(x.First, y.First) + offset, new PlanePoint(x.Last, y.Last) + offset];
}
