using System.Numerics;
using static Imbrex.Engine.Simulation.LatticeNoise;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// A wall of bricks in running bond: every course like the next but one, bricks alike but for tone and grain, and mortar in between. A repeated pattern
/// that tempts a search to be wrong by a whole brick. It goes on beyond the canvas.
/// </summary>
/// <param name="seed">Chooses tones and grain.</param>
/// <param name="brickWidth">Length of a brick with its joint, px.</param>
/// <param name="brickHeight">Height of a course with its joint, px.</param>
/// <param name="joint">Width of the joints, px.</param>
public sealed class BrickWallScene(int seed, float brickWidth = 240, float brickHeight = 80, float joint = 11) : DrawnScene
{
    // Light comes from the upper left: edges of bricks are not sharper than this.
    private const float Edge = 2.2f;

    /// <inheritdoc/>
    protected override void Draw(PixelBlock block, Span<float> rgbx)
    {
        Span<float> red = stackalloc float[Vector<float>.Count], green = stackalloc float[Vector<float>.Count], blue = stackalloc float[Vector<float>.Count];
        for (int row = 0, at = 0; row < block.Height; row++)
        {
            var y = Vector.Create((float)(block.Y + row));
            for (int column = 0; column < block.Width; column += Vector<float>.Count)
            {
                Vector<float> x = Vector.Create((float)(block.X + column)) + Vector.CreateSequence(0f, 1f);
                (Vector<float> r, Vector<float> g, Vector<float> b) = At(x, y);
                r.CopyTo(red);
                g.CopyTo(green);
                b.CopyTo(blue);
                for (int i = 0; i < red.Length && column + i < block.Width; i++, at += 4)
                    (rgbx[at], rgbx[at + 1], rgbx[at + 2], rgbx[at + 3]) = (red[i], green[i], blue[i], 0);
            }
        }
    }

    private (Vector<float> Red, Vector<float> Green, Vector<float> Blue) At(Vector<float> x, Vector<float> y)
    {
        Vector<float> course = Vector.Floor(y * (1 / brickHeight));
        Vector<float> odd = course - 2 * Vector.Floor(course * 0.5f);
        Vector<float> along = x * (1 / brickWidth) + 0.5f * odd;
        Vector<float> number = Vector.Floor(along);
        Vector<int> bits = Bits(Vector.ConvertToInt32Native(number), Vector.ConvertToInt32Native(course), seed);
        // Distance from the nearest joint's middle; laid by hand, no brick lies quite straight.
        Vector<float> across = brickWidth * (Vector.Create(0.5f) - Vector.Abs(along - number - Vector.Create(0.5f)));
        Vector<float> down = brickHeight * (Vector.Create(0.5f) - Vector.Abs(y * (1 / brickHeight) - course - Vector.Create(0.5f)));
        Vector<float> ragged = 0.8f * Value(x * (1 / 19f), y * (1 / 19f), seed + 1);
        Vector<float> inside = Vector.Min(across, down) + ragged - Vector.Create(joint / 2);
        Vector<float> brick = Step(-Edge, Edge, inside);

        Vector<float> grain = Octaves(x, y, 23, 2.9f, 0.8f, seed + 3);
        Vector<float> tone = Vector.Create(0.88f) + 0.24f * Part(bits, 0) + 0.11f * grain;
        Vector<float> burnt = 0.16f * Part(bits, 1);
        Vector<float> sand = Vector<float>.One + 0.1f * Octaves(x, y, 11, 2.9f, 0.9f, seed + 9);
        // The joint lies in the shadow of the brick above it.
        Vector<float> shade = Vector<float>.One - 0.25f * Step(-joint / 2, 0, inside) * (Vector<float>.One - brick);
        return (Between(0.46f * sand * shade, tone * (Vector.Create(0.34f) - burnt), brick),
            Between(0.44f * sand * shade, tone * (Vector.Create(0.155f) - 0.3f * burnt), brick),
            Between(0.4f * sand * shade, tone * (Vector.Create(0.105f) - 0.15f * burnt), brick));
    }
}
