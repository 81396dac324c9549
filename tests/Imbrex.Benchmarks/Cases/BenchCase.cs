using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;

namespace Imbrex.Benchmarks.Cases;

/// <summary>One take of the case list.</summary>
/// <param name="Name">Its name on the command line.</param>
/// <param name="Title">What it is.</param>
/// <param name="Plan">Where the tiles should lie.</param>
/// <param name="Scene">Makes the picture that the lens casts.</param>
/// <param name="Faults">What the kit, the light and the street do.</param>
internal sealed record BenchCase(string Name, string Title, PlanDocument Plan, Func<IScene> Scene, CameraFaults Faults)
{
    /// <summary>What the merge is told of the back, mm; null: what it assumes.</summary>
    public double? ToleranceMm { get; init; }

    /// <summary>See <see cref="ToleranceMm"/>; degrees.</summary>
    public double? AngularToleranceDeg { get; init; }

    /// <summary>The same take without noise.</summary>
    public CameraFaults Clean => Faults with { ReadNoise = 0, FullWell = double.PositiveInfinity };

    public Canvas Canvas => Canvas.Of(Plan);
}
