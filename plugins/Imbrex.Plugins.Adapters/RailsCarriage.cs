using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Adapters;

/// <summary>One of several level rails.</summary>
internal sealed record OneRail(string Name, double Height, Slide Along);

/// <summary>A carriage that goes on one of two level rails; positions are x and the rail's height.</summary>
internal sealed class RailsCarriage(OneRail upper, OneRail lower, CarriageTolerance tolerance) : Carriage
{
    public override CarriageTolerance Tolerance => tolerance;

    public override CarriagePose Place(IReadOnlyList<double> positions) => new(positions[0], positions[1]);

    public override IReadOnlyList<double> Nearest(PlanePoint target, PlanePoint offset, double rotation)
    {
        PlanePoint place = Nearest(target - offset).Place;
        return [place.X, place.Y];
    }

    public override IEnumerable<string> Misses(PlanePoint target, PlanePoint offset)
    {
        PlanePoint place = target - offset;
        OneRail rail = Nearest(place).Rail;
        if (Math.Abs(place.Y - rail.Height) > SeatedBack.Rounding)
            yield return FormattableString.Invariant($"y would have to be {place.Y:0.###} mm and {rail.Name} lies at {rail.Height:0.###} mm");
        if (rail.Along.Miss(place.X) is { } miss)
            yield return miss;
    }

    public override IEnumerable<PlanePoint> Extremes(PlanePoint offset) =>
        new[] { upper, lower }.SelectMany(rail => new[] { rail.Along.First, rail.Along.Last }.Select(x => new PlanePoint(x, rail.Height) + offset));

    private (OneRail Rail, PlanePoint Place) Nearest(PlanePoint place) =>
        new[] { upper, lower }.Select(rail => (Rail: rail, Place: new PlanePoint(rail.Along.Nearest(place.X), rail.Height))).MinBy(way => (way.Place - place).Length);
}
