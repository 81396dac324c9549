namespace Imbrex.Sdk.Geometry;

/// <summary>
/// How the body stands on the back: degrees clockwise, seen from behind the camera, where the photographer stands.
/// <see cref="None"/> is the body upright.
/// </summary>
public enum Turn
{
    /// <summary>0 degrees: the body is upright and the sensor lies level (long side across).</summary>
    None = 0,

    /// <summary>90 degrees clockwise: the body's top points to the photographer's right.</summary>
    Quarter = 90,

    /// <summary>180 degrees: the body is upside down.</summary>
    Half = 180,

    /// <summary>270 degrees clockwise: the body's top points to the photographer's left.</summary>
    ThreeQuarters = 270,
}

/// <summary>Arithmetic of <see cref="Turn"/>.</summary>
public static class Turns
{
    /// <summary>The four turns in rising order.</summary>
    public static IReadOnlyList<Turn> All { get; } = Array.AsReadOnly([Turn.None, Turn.Quarter, Turn.Half, Turn.ThreeQuarters]);

    /// <summary>The turn for a whole multiple of 90 degrees of either sign.</summary>
    /// <param name="degrees">Degrees clockwise seen from behind.</param>
    /// <exception cref="ArgumentOutOfRangeException">Not a multiple of 90.</exception>
    public static Turn FromDegrees(int degrees) => degrees % 90 == 0
        ? (Turn)(((degrees % 360) + 360) % 360)
        : throw new ArgumentOutOfRangeException(nameof(degrees), degrees, "A camera turn is 0, 90, 180 or 270 degrees.");

    /// <summary>Degrees clockwise seen from behind: 0, 90, 180 or 270.</summary>
    public static int Degrees(this Turn turn) => (int)turn;

    /// <summary>One turn after another.</summary>
    public static Turn Plus(this Turn turn, Turn other) => FromDegrees((int)turn + (int)other);

    /// <summary>Whether the sensor stands on its short side: a quarter or three quarters of a turn.</summary>
    public static bool IsUpright(this Turn turn) => turn is Turn.Quarter or Turn.ThreeQuarters;
}
