namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>Forward kinematics that come from elsewhere: what they answer is looked at.</summary>
internal sealed class PlaceFunction(Func<IReadOnlyList<double>, CarriagePose> place, IReadOnlyList<AxisNeed> axes)
{
    /// <summary>No back reaches so far, mm, and none turns so often, degrees.</summary>
    public const double Farthest = 1e5;

    /// <summary>Where the carriage stands.</summary>
    /// <exception cref="InputException">The function gives no place there.</exception>
    public CarriagePose At(double[] positions)
    {
        // A copy that nobody can write to: the function may keep it.
        CarriagePose pose = place(Array.AsReadOnly([.. positions]));
        if (Math.Abs(pose.X) <= Farthest && Math.Abs(pose.Y) <= Farthest && Math.Abs(pose.Rotation) <= Farthest)
            return pose;
        string what = double.IsFinite(pose.X) && double.IsFinite(pose.Y) && double.IsFinite(pose.Rotation)
            ? FormattableString.Invariant($"The carriage would stand at ({pose.X:0.###}, {pose.Y:0.###}) mm, turned by {pose.Rotation:0.###} degrees, which is farther than any back reaches,")
            : "The carriage has no place";
        throw new InputException($"{what} with {Words(positions)}.", "Carriage", "Shorten the travel in the kit (back.axes), or correct the formula: look for a division by zero or a root of less than nothing.");
    }

    /// <summary>Asks again and compares.</summary>
    /// <exception cref="InputException">The answer differs.</exception>
    public void DemandSame(double[] positions, CarriagePose before)
    {
        if (At(positions) is var again && again != before)
        {
            throw new InputException(FormattableString.Invariant($"The carriage stands at ({before.X:R}, {before.Y:R}) mm, turned by {before.Rotation:R} degrees, and when asked again at ({again.X:R}, {again.Y:R}), turned by {again.Rotation:R}, with {Words(positions)}."),
                "Carriage", "Compute the place from the positions and the parameters only: nothing that changes from call to call.");
        }
    }

    /// <summary>Positions in words.</summary>
    public string Words(IReadOnlyList<double> positions) => positions.Count == 0 ? "no axis at all" : string.Join(", ", positions.Select((position, axis) =>
        FormattableString.Invariant($"{axes[axis].Words} at {position:0.###}{(axes[axis].IsPivot ? " degrees" : " mm")}")));
}
