namespace Imbrex.Engine.Seams;

/// <summary>How sharp a frame is against its neighbours where they show the same.</summary>
/// <param name="Neighbours">Neighbours with enough detail in common to compare.</param>
/// <param name="Relative">Amplitude of fine detail (two to four pixels) as a part of the neighbours', median over them; 1 where there are none.</param>
/// <param name="Across">The same for detail that changes from left to right only: a body that shook sideways loses it.</param>
/// <param name="Down">The same for detail that changes downwards.</param>
/// <param name="IsSoft">True where the frame is softer than every neighbour by a clear factor.</param>
public readonly record struct FrameSharpness(int Neighbours, double Relative, double Across, double Down, bool IsSoft)
{
    /// <summary>A frame with no more than this part of its neighbours' detail is soft, where it also has less than each of them.</summary>
    public const double Soft = 0.75, LessThanEach = 0.85;

    /// <summary>Whether the loss has a direction, as of a body that shook.</summary>
    public bool IsDirectional => IsSoft && Math.Min(Across, Down) < 0.6 * Math.Max(Across, Down);
}
