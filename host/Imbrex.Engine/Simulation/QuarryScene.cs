using System.Numerics;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// An invented slate quarry, drawn by procedure: detail at every scale from the whole picture down to three pixels or so, and next to
/// nothing above 0.4 cycles per pixel, so that it can be resampled honestly. It goes on beyond the canvas.
/// </summary>
public sealed class QuarryScene : DrawnScene
{
    // In pixels: shorter waves would be taken away again by the low-pass.
    private const float FinestWave = 2.6f;

    // The sun stands to the upper left, before the faces.
    private static readonly Vector3 Sun = Vector3.Normalize(new(-0.58f, -0.62f, 0.53f));

    private readonly QuarryView _view;
    private readonly float _middle;
    private readonly float _unit;

    /// <summary>Lays the quarry out on a canvas.</summary>
    /// <param name="seed">The same seed gives the same quarry.</param>
    /// <param name="widthPx">Pixels across.</param>
    /// <param name="heightPx">Pixels down; the composition scales with it, the finest detail does not.</param>
    public QuarryScene(int seed, int widthPx, int heightPx)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(widthPx, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(heightPx, 1);
        (_middle, _unit) = (widthPx / 2f, heightPx);
        _view = new(seed, FinestWave / heightPx);
    }

    // Three rows of surface are enough to know the slope of the middle one.
    /// <inheritdoc/>
    protected override void Draw(PixelBlock block, Span<float> rgbx)
    {
        SurfaceRow[] rows = [new(block.Width + 2), new(block.Width + 2), new(block.Width + 2)];
        var across = new float[rows[0].Padded];
        for (int x = 0; x < across.Length; x++)
            across[x] = (block.X - 1 + x - _middle) / _unit;
        QuarryOutline outline = _view.Outline(across);
        for (int y = -1; y <= block.Height; y++)
        {
            SurfaceRow below = rows[(y + 3) % 3];
            Describe(below, outline, block.Y + y);
            if (y > 0)
                Light(rows[(y + 1) % 3], rows[(y + 2) % 3], below, rgbx.Slice((y - 1) * block.Width * 4, block.Width * 4));
        }
    }

    private void Describe(SurfaceRow row, QuarryOutline outline, int y)
    {
        var down = Vector.Create(y / _unit);
        for (int at = 0; at < row.Padded; at += Vector<float>.Count)
            row.Store(at, _view.At(outline, at, down), _unit);
    }

    private static void Light(SurfaceRow above, SurfaceRow here, SurfaceRow below, Span<float> rgbx)
    {
        Span<float> light = stackalloc float[Vector<float>.Count];
        for (int at = 0; at * 4 < rgbx.Length; at += light.Length)
        {
            Vector<float> slopeX = Bounded(0.5f * (new Vector<float>(here.Height, at + 2) - new Vector<float>(here.Height, at)));
            Vector<float> slopeY = Bounded(0.5f * (new Vector<float>(below.Height, at + 1) - new Vector<float>(above.Height, at + 1)));
            Vector<float> length = Vector.SquareRoot(slopeX * slopeX + slopeY * slopeY + Vector<float>.One);
            Vector<float> sun = Vector.Max((Vector.Create(Sun.Z) - Sun.X * slopeX - Sun.Y * slopeY) / length, Vector<float>.Zero);
            Vector<float> open = new(here.Lit, at + 1);
            (Vector<float>.One + open * (1.95f * sun - Vector.Create(0.56f))).CopyTo(light);
            for (int i = 0; i < light.Length && (at + i) * 4 < rgbx.Length; i++)
            {
                Span<float> pixel = rgbx.Slice((at + i) * 4, 4);
                (pixel[0], pixel[1], pixel[2], pixel[3]) = (Exposed(here.Red[at + i + 1] * light[i]),
                    Exposed(here.Green[at + i + 1] * light[i]), Exposed(here.Blue[at + i + 1] * light[i]), 0);
            }
        }
    }

    // Nothing burns out, even in a frame that got a little more light.
    private static float Exposed(float light) => Math.Min(light, 0.85f);

    private static Vector<float> Bounded(Vector<float> slope) => Vector.Min(Vector.Max(slope, Vector.Create(-1.3f)), Vector.Create(1.3f));

    /// <summary>One row of the surface; arrays are longer than the row, so that whole vectors fit.</summary>
    private sealed class SurfaceRow
    {
        public SurfaceRow(int width)
        {
            Padded = (width + Vector<float>.Count - 1) / Vector<float>.Count * Vector<float>.Count;
            int length = Padded + 2 * Vector<float>.Count;
            (Height, Red, Green, Blue, Lit) = (new float[length], new float[length], new float[length], new float[length], new float[length]);
        }

        public int Padded { get; }
        public float[] Height { get; }
        public float[] Red { get; }
        public float[] Green { get; }
        public float[] Blue { get; }
        public float[] Lit { get; }

        public void Store(int at, QuarryPaint paint, float unit)
        {
            (paint.Height * unit).CopyTo(Height, at);
            paint.Red.CopyTo(Red, at);
            paint.Green.CopyTo(Green, at);
            paint.Blue.CopyTo(Blue, at);
            paint.Lit.CopyTo(Lit, at);
        }
    }
}
