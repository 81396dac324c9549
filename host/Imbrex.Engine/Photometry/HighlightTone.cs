namespace Imbrex.Engine.Photometry;

/// <summary>
/// How one frame's brightest light goes into the picture: through the shoulder that all frames share, and, where the frame itself is clipped, up to
/// white. A clipped source is white of unknown height: left where a gain below 1 puts it, it would be a grey patch beside whiter neighbours.
/// </summary>
/// <param name="shoulder">The shoulder of all frames.</param>
/// <param name="encoders">The encoders of the three channels under it.</param>
/// <param name="clipped">Which of the frame's channels are clipped somewhere.</param>
internal sealed class HighlightTone(Shoulder shoulder, IReadOnlyList<LightEncoder> encoders, IReadOnlyList<bool> clipped)
{
    /// <summary>Recorded light above this is led up to white, so that no edge appears where clipping begins.</summary>
    private const double LiftFrom = 0.94;

    private readonly float _top = (float)shoulder.Top;

    /// <summary>The tone of a frame in which nothing is clipped or exceeds white.</summary>
    public static HighlightTone Plain(FrameLight light) =>
        new(Shoulder.None, [.. light.Curves.Select(curve => new LightEncoder(curve, Shoulder.None))], [false, false, false]);

    /// <summary>Whether it changes nothing up to white.</summary>
    public bool IsPlain => shoulder.IsNone && !clipped.Contains(true);

    /// <summary>The encoder of a channel.</summary>
    public LightEncoder Encoder(int band) => encoders[band];

    /// <summary>Whether light of a channel stays as it is, apart from being encoded.</summary>
    public bool Keeps(int band, double light) => light <= shoulder.Knee && !(clipped[band] && light > LiftFrom);

    /// <summary>Recorded light of a channel above which <see cref="Lift"/> is needed; above 1 where it never is.</summary>
    public float LiftsFrom(int band) => clipped[band] ? (float)LiftFrom : 2;

    /// <summary>Leads evened light up to the most light there is as the recorded light nears clipping.</summary>
    /// <param name="recorded">Light as recorded, above <see cref="LiftsFrom"/>.</param>
    /// <param name="evened">The same, evened out.</param>
    public float Lift(float recorded, float evened)
    {
        float part = (recorded - (float)LiftFrom) / (float)(1 - LiftFrom);
        return evened + part * part * (_top - evened);
    }
}
