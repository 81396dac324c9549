namespace Imbrex.Engine.Simulation;

/// <summary>Several frames of each tile, one after the other.</summary>
public sealed record SeriesFaults
{
    /// <summary>Frames of each tile.</summary>
    public int Exposures { get; init; } = 1;

    /// <summary>
    /// Standard deviation of how far the body moves between a tile's first frame and a later one, px on each axis; it also turns, by
    /// half as much at its corners.
    /// </summary>
    public double JitterSdPx { get; init; }

    /// <summary>How much more light each frame of a tile gets, stops, by its exposure time; empty for none. As many as <see cref="Exposures"/>.</summary>
    public IReadOnlyList<double> BracketStops { get; init; } = [];

    /// <summary>More light in one frame of a tile, stops.</summary>
    internal double Stops(int exposure) => BracketStops.Count == 0 ? 0 : BracketStops[exposure];

    internal void Validate()
    {
        CameraFaults.Require(nameof(Exposures), Exposures, Exposures is >= 1 and <= 99);
        CameraFaults.Require(nameof(JitterSdPx), JitterSdPx, JitterSdPx is >= 0 and <= 1000);
        CameraFaults.Require(nameof(BracketStops), BracketStops.Count, BracketStops.Count == 0 || BracketStops.Count == Exposures);
        foreach (double stops in BracketStops)
            CameraFaults.Require(nameof(BracketStops), stops, Math.Abs(stops) <= 10);
    }
}
