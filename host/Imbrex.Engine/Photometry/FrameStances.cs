using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Photometry;

/// <summary>How the frames stood when they were taken, and what is known of their light before neighbours are compared.</summary>
/// <param name="Turns">The body's turn of each frame.</param>
/// <param name="Radius">Half diagonal of a frame, px.</param>
/// <param name="Known">What is taken out of each frame whatever the overlaps show: dark frames, flat fields, the lens's falloff.</param>
internal sealed record FrameStances(IReadOnlyList<Turn> Turns, double Radius, IReadOnlyList<LightCorrection> Known)
{
    /// <summary>Frames of which nothing is known.</summary>
    public FrameStances(IReadOnlyList<Turn> turns, double radius)
        : this(turns, radius, [.. turns.Select(_ => LightCorrection.None)])
    {
    }

    /// <summary>Whether some frame was turned against another, which shows linear ramps over the sensor.</summary>
    public bool AnyTurned => Turns.Any(turn => turn != Turns[0]);
}
