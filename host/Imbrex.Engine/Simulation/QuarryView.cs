using System.Numerics;
using static Imbrex.Engine.Simulation.LatticeNoise;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// How the quarry lies in the picture, from the top: sky, turf, three worked faces with ledges of rubble between them, the floor
/// with its tip of broken slate, and a pool. Coordinates in units of the picture's height, (0, 0) at the middle of its upper edge.
/// </summary>
/// <param name="seed">Chooses the quarry.</param>
/// <param name="finest">Shortest wavelength worth drawing, units.</param>
internal sealed class QuarryView(int seed, float finest)
{
    private readonly QuarryRock _rock = new(seed + 100, finest);
    private readonly QuarryRubble _rubble = new(seed + 300, finest);

    /// <summary>The lines of the picture at some columns.</summary>
    public QuarryOutline Outline(float[] across) => new(seed + 30, across);

    /// <summary>The surface at the columns of one vector and one row.</summary>
    /// <param name="outline">The lines.</param>
    /// <param name="at">First of the columns in the outline.</param>
    /// <param name="y">The row, units.</param>
    public QuarryPaint At(QuarryOutline outline, int at, Vector<float> y)
    {
        var x = new Vector<float>(outline.Across, at);
        Vector<float> ragged = Octaves(x, y, 0.016f, finest, 0.62f, seed + 1);
        Vector<float> belowSky = Step(-0.0008f, 0.0012f, y - new Vector<float>(outline.Skyline, at) - 0.0035f * ragged);
        if (Vector.LessThanOrEqualAll(belowSky, Vector<float>.Zero))
            return Sky(x, y);
        Vector<float> rubble = Rubble(outline, at, y + 0.006f * ragged);
        Vector<float> shore = y - new Vector<float>(outline.Shore, at) - 0.004f * ragged;
        QuarryPaint ground = default;
        if (Vector.LessThanAny(rubble, Vector<float>.One))
            ground = Face(outline, at, x, y);
        if (Vector.GreaterThanAny(rubble, Vector<float>.Zero))
            ground = ground.Towards(_rubble.At(x, y), rubble);
        ground = Turf(ground, outline, at, x, y, rubble, ragged);
        if (Vector.GreaterThanAny(shore, Vector.Create(-0.006f)))
            ground = Wet(ground, shore).Towards(Pool(x, y), Step(0.0f, 0.0016f, shore));
        // Air between us and the far faces.
        ground = ground.Tinted(0.42f, 0.5f, 0.6f, 0.07f * Step(0.05f, 0.8f, Vector.Create(0.8f) - y));
        return Vector.LessThanAny(belowSky, Vector<float>.One) ? Sky(x, y).Towards(ground, belowSky) : ground;
    }

    private QuarryPaint Face(QuarryOutline outline, int at, Vector<float> x, Vector<float> y)
    {
        // Buttresses catch the sun and the hollows between them do not; every face is darkest at its foot and right under the ledge above it.
        Vector<float> light = Vector.Create(1.13f) + 0.42f * Octaves(x, y * 0.3f, 0.33f, 0.12f, 0.5f, seed + 8);
        Vector<float> upper = y - new Vector<float>(outline.Upper, at), lower = y - new Vector<float>(outline.Lower, at), floor = y - new Vector<float>(outline.Floor, at);
        light -= 0.28f * (Foot(upper) + Foot(lower) + Foot(floor));
        light *= Vector<float>.One - 0.45f * (Overhang(upper - Vector.Create(0.022f)) + Overhang(lower - Vector.Create(0.03f)));
        return _rock.At(x, y).Times(Vector.Max(light, Vector.Create(0.3f)));
    }

    private static Vector<float> Foot(Vector<float> below) => Step(-0.11f, 0.0f, below) * (Vector<float>.One - Step(-0.001f, 0.001f, below));

    private static Vector<float> Overhang(Vector<float> below) => Step(-0.002f, 0.001f, below) * (Vector<float>.One - Step(0.002f, 0.022f, below));

    // Ledges and the floor: 1 where loose stone lies, heaped up from each ledge against the face behind it.
    private static Vector<float> Rubble(QuarryOutline outline, int at, Vector<float> y)
    {
        Vector<float> upper = y - new Vector<float>(outline.Upper, at), lower = y - new Vector<float>(outline.Lower, at), floor = y - new Vector<float>(outline.Floor, at);
        var heap = new Vector<float>(outline.Heap, at);
        Vector<float> thin = Vector.Create(0.0006f);
        Vector<float> ledges = Step(-thin, thin, upper + heap) * Step(-thin, thin, Vector.Create(0.022f) - upper)
            + Step(-thin, thin, lower + 1.4f * heap) * Step(-thin, thin, Vector.Create(0.03f) - lower);
        return Vector.Min(ledges + Step(-thin, thin, floor + 2 * heap), Vector<float>.One);
    }

    private QuarryPaint Turf(QuarryPaint ground, QuarryOutline outline, int at, Vector<float> x, Vector<float> y, Vector<float> rubble, Vector<float> ragged)
    {
        Vector<float> below = y - new Vector<float>(outline.Skyline, at) - new Vector<float>(outline.Turf, at);
        Vector<float> green = Vector<float>.One - Step(-0.004f, 0.004f, below + 0.006f * ragged);
        if (Vector.GreaterThanAny(rubble, Vector<float>.Zero))
            green = Vector.Max(green, 0.85f * rubble * Step(0.45f, 0.8f, Octaves(x, y, 0.17f, 0.08f, 0.55f, seed + 12) + 0.3f * ragged));
        if (Vector.LessThanOrEqualAll(green, Vector<float>.Zero))
            return ground;
        Vector<float> blades = Octaves(x * 1.6f, y, 0.012f, finest, 0.8f, seed + 13);
        QuarryPaint turf = QuarryPaint.Plain(0.13f, 0.165f, 0.055f)
            .Tinted(0.26f, 0.2f, 0.085f, Step(-0.1f, 0.7f, Octaves(x, y, 0.09f, 0.03f, 0.6f, seed + 14)))
            .Times(Vector.Max(Vector.Create(0.9f) + 0.42f * blades, Vector.Create(0.2f))) with
        { Height = ground.Height * 0.35f + 0.004f * blades };
        return ground.Towards(turf, green);
    }

    private static QuarryPaint Wet(QuarryPaint ground, Vector<float> shore) => ground.Times(Vector<float>.One - 0.45f * Step(-0.006f, 0.0f, shore));

    private QuarryPaint Pool(Vector<float> x, Vector<float> y)
    {
        // The faces lie upside down in the water, drawn out by ripples.
        Vector<float> ripple = Octaves(x * 0.22f, y, 0.016f, finest, 0.72f, seed + 16);
        Vector<float> mirrored = Vector.Create(1.52f) - y * 1.1f + 0.012f * ripple;
        Vector<float> image = Octaves(x + 0.004f * ripple, mirrored * 0.5f, 0.16f, 0.008f, 0.62f, seed + 17);
        Vector<float> light = Vector.Max(Vector<float>.One + 0.5f * image + 0.3f * ripple, Vector.Create(0.2f));
        Vector<float> glint = Step(0.75f, 1.5f, ripple + 0.4f * Value(x * 9f, y * 30f, seed + 18));
        return QuarryPaint.Plain(0.1f, 0.15f, 0.165f, lit: 0).Tinted(0.035f, 0.085f, 0.085f, Step(0.87f, 1.02f, y))
            .Times(light).Tinted(0.5f, 0.58f, 0.66f, 0.55f * glint);
    }

    private QuarryPaint Sky(Vector<float> x, Vector<float> y)
    {
        Vector<float> cloud = Octaves(x * 0.6f, y * 1.7f, 0.4f, Math.Max(finest, 0.012f), 0.52f, seed + 19);
        return QuarryPaint.Plain(0.27f, 0.43f, 0.68f, lit: 0).Tinted(0.58f, 0.67f, 0.77f, Step(-0.1f, 0.22f, y))
            .Tinted(0.76f, 0.77f, 0.78f, 0.8f * Step(-0.05f, 0.9f, cloud));
    }
}
