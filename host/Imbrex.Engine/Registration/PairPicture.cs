using System.Numerics;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>
/// What two frames may share, at one level of their pyramids: a strip of the first, and the second laid over it as the plan has it, under
/// the rotation that the plan has between them, with all the room around that the tolerance asks for. Both are freed of everything coarser than a
/// few pixels, so that light and shading do not count.
/// </summary>
/// <remarks>
/// The coefficient is the normalised cross-correlation over exactly those pixels that both frames show at a shift (Padfield, Masked object registration
/// in the Fourier domain, IEEE TIP 21(5) 2012, from memory), summed directly, since windows are small after the reduction.
/// </remarks>
internal sealed class PairPicture
{
    /// <summary>Longest side of a piece, in reduced pixels: within it a rotation inside the tolerance counts for less than a pixel.</summary>
    private const int LongestPiece = 72;

    /// <summary>Sides of the box whose mean is taken off each pixel reach so far, in reduced pixels.</summary>
    private const int BoxReach = 3;

    private readonly int _strideA, _strideB, _room;
    private readonly float[] _a, _shownA, _b, _shownB;
    private readonly double _left, _top, _scale, _centreX, _centreY;

    private PairPicture(Masked a, Masked b, int room, int x, int y, double scale, Frame frameA)
    {
        (_a, _shownA, _strideA) = (a.Values, a.Shown, a.Width);
        (_b, _shownB, _strideB) = (b.Values, b.Shown, b.Width);
        (_room, _scale, _centreX, _centreY) = (room, scale, frameA.CentreX, frameA.CentreY);
        (_left, _top, Width, Height) = (x, y, a.Width, a.Height);
        Pieces = Divide(a.Width, a.Height);
    }

    /// <summary>Columns of the strip.</summary>
    public int Width { get; }

    /// <summary>Rows of the strip.</summary>
    public int Height { get; }

    /// <summary>The parts that the strip is divided into.</summary>
    public IReadOnlyList<Block> Pieces { get; }

    /// <summary>Full pixels for each reduced one.</summary>
    public double Scale => _scale;

    /// <summary>Lays two frames over one another, or gives null where the window cannot make them meet.</summary>
    /// <param name="frames">All frames.</param>
    /// <param name="placements">Where they are believed to lie.</param>
    /// <param name="a">Index of the first frame.</param>
    /// <param name="b">Index of the second frame.</param>
    /// <param name="pictureA">The first frame's reduced picture.</param>
    /// <param name="pictureB">The second frame's reduced picture.</param>
    /// <param name="level">The pyramid level of both.</param>
    /// <param name="reach">How far shared spots may be from where they are believed, full pixels.</param>
    /// <param name="bench">The calling thread's memory, which holds the pixels until the next picture is made.</param>
    public static PairPicture? Of(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, int a, int b,
        IGreyPicture pictureA, IGreyPicture pictureB, int level, double reach, MatchBench bench)
    {
        double scale = 1 << level;
        Frame fa = frames[a].Frame, fb = frames[b].Frame;
        if (SharedArea.Between(frames, placements, a, b, reach) is not { } area)
            return null;
        int left = Math.Max(0, (int)Math.Floor((area.Left + fa.CentreX + 0.5) / scale)), top = Math.Max(0, (int)Math.Floor((area.Top + fa.CentreY + 0.5) / scale));
        int right = Math.Min(pictureA.Width, (int)Math.Ceiling((area.Right + fa.CentreX + 0.5) / scale));
        int bottom = Math.Min(pictureA.Height, (int)Math.Ceiling((area.Bottom + fa.CentreY + 0.5) / scale));
        if (right - left < 4 || bottom - top < 4)
            return null;
        (int width, int height, int room) = (right - left, bottom - top, (int)Math.Ceiling(reach / scale) + 4);

        // Reduced pixel i of the strip lies at full pixel (i + 0.5) scale - 0.5 of the first frame; from there by the placements into the second.
        (double X, double Y) InB(double i, double j)
        {
            (double cx, double cy) = placements[a].ToCanvas((left + i + 0.5) * scale - 0.5 - fa.CentreX, (top + j + 0.5) * scale - 0.5 - fa.CentreY);
            (double x, double y) = placements[b].ToFrame(cx, cy);
            return ((x + fb.CentreX + 0.5) / scale - 0.5, (y + fb.CentreY + 0.5) / scale - 0.5);
        }
        (double ox, double oy) = InB(-room, -room);
        (double rightX, double rightY) = InB(width + room, -room);
        (double downX, double downY) = InB(-room, height + room);
        (double across, double down) = (width + 2 * room, height + 2 * room);
        (Masked strip, Masked window) = (bench.Strip, bench.Beside);
        strip.Sample(pictureA, width, height, left, top, 1, 0, 0, 1);
        window.Sample(pictureB, width + 2 * room, height + 2 * room, ox, oy,
            (rightX - ox) / across, (rightY - oy) / across, (downX - ox) / down, (downY - oy) / down);
        foreach (Masked picture in (ReadOnlySpan<Masked>)[strip, window])
        {
            picture.Smooth();
            picture.TakeOffMeans(BoxReach, bench);
        }
        return new(strip, window, room, left, top, scale, fa);
    }

    /// <summary>Offset from the first frame's centre, in full pixels, of a place on the strip.</summary>
    public (double X, double Y) ToFrame(double x, double y) => ((_left + x + 0.5) * _scale - 0.5 - _centreX, (_top + y + 0.5) * _scale - 0.5 - _centreY);

    /// <summary>Sums over the pixels of a piece that both frames show when the second's picture is found (dx, dy) further on.</summary>
    public PairSums Compare(Block piece, int dx, int dy)
    {
        int left = Math.Max(piece.X, -dx - _room), right = Math.Min(piece.X + piece.Width, Width + _room - dx);
        int top = Math.Max(piece.Y, -dy - _room), bottom = Math.Min(piece.Y + piece.Height, Height + _room - dy);
        if (right <= left || bottom <= top)
            return default;
        Vector<float> product = default, squareA = default, squareB = default, count = default;
        float tailProduct = 0, tailA = 0, tailB = 0, tailCount = 0;
        int length = right - left, whole = length - length % Vector<float>.Count;
        for (int row = top; row < bottom; row++)
        {
            int atA = row * _strideA + left, atB = (row + dy + _room) * _strideB + left + dx + _room;
            ReadOnlySpan<float> a = _a.AsSpan(atA, length), shownA = _shownA.AsSpan(atA, length), b = _b.AsSpan(atB, length), shownB = _shownB.AsSpan(atB, length);
            for (int i = 0; i < whole; i += Vector<float>.Count)
            {
                Vector<float> va = new(a[i..]), vb = new(b[i..]), both = new Vector<float>(shownA[i..]) * new Vector<float>(shownB[i..]);
                product += va * vb;
                squareA += va * va * both;
                squareB += vb * vb * both;
                count += both;
            }
            for (int i = whole; i < length; i++)
            {
                float both = shownA[i] * shownB[i];
                tailProduct += a[i] * b[i];
                tailA += a[i] * a[i] * both;
                tailB += b[i] * b[i] * both;
                tailCount += both;
            }
        }
        return new(Vector.Sum(product) + tailProduct, Vector.Sum(squareA) + tailA, Vector.Sum(squareB) + tailB, Vector.Sum(count) + tailCount);
    }

    private static Block[] Divide(int width, int height)
    {
        int columns = (width + LongestPiece - 1) / LongestPiece, rows = (height + LongestPiece - 1) / LongestPiece;
        var pieces = new Block[columns * rows];
        for (int i = 0; i < pieces.Length; i++)
        {
            (int column, int row) = (i % columns, i / columns);
            int x = width * column / columns, y = height * row / rows;
            pieces[i] = new(x, y, width * (column + 1) / columns - x, height * (row + 1) / rows - y);
        }
        return pieces;
    }
}

/// <summary>Sums over pixels that two pictures share; they add up.</summary>
/// <param name="Product">Of the first's values with the second's.</param>
/// <param name="SquareA">Of the first's values with themselves.</param>
/// <param name="SquareB">Of the second's.</param>
/// <param name="Count">Number of pixels.</param>
internal readonly record struct PairSums(double Product, double SquareA, double SquareB, double Count)
{
    /// <summary>Fewest pixels that count for anything.</summary>
    private const double LeastCount = 60;

    /// <summary>
    /// Reduced pixels that say as much as one independent one, after the coarse light is taken off; measured on photographs, where unrelated places
    /// correlate by 1.5 to 2 times what independent pixels would.
    /// </summary>
    private const double Kinship = 4;

    /// <summary>The correlation, -1 to 1; 0 where too little is shared or either side is flatter than a hundredth of an 8-bit step.</summary>
    public double Coefficient => Count < LeastCount || SquareA < 6.6 * Count || SquareB < 6.6 * Count ? 0 : Product / Math.Sqrt(SquareA * SquareB);

    /// <summary>How much likelier the pixels are as pictures of the same than as pictures of different things, natural logarithm.</summary>
    public double Evidence
    {
        get
        {
            double r = Math.Min(Coefficient, 0.9999);
            return r <= 0 ? 0 : -Count / Kinship / 2 * Math.Log(1 - r * r);
        }
    }

    /// <summary>
    /// The correlation that is certain: Fisher's transform of it, less three standard deviations. Evidence grows with the area that is shared, and so
    /// prefers, among places where a repeated pattern fits equally well, those that share more; this does not.
    /// </summary>
    public double Certain => Count < LeastCount ? 0 : Math.Max(0, Math.Atanh(Math.Clamp(Coefficient, 0, 0.9999)) - 3 * Math.Sqrt(Kinship / Count));

    public static PairSums operator +(PairSums a, PairSums b) => new(a.Product + b.Product, a.SquareA + b.SquareA, a.SquareB + b.SquareB, a.Count + b.Count);
}
