using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Registration;

/// <summary>One way in which two frames may fit together.</summary>
/// <param name="A">Index of the first frame.</param>
/// <param name="B">Index of the second frame.</param>
/// <param name="First">A spot that both show, near one end of what they share.</param>
/// <param name="Second">Another, near the other end: the two tell shift and rotation.</param>
/// <param name="Evidence"><see cref="PairSums.Evidence"/> of it.</param>
/// <param name="Certain"><see cref="PairSums.Certain"/> of it.</param>
internal sealed record PairCandidate(int A, int B, Tie First, Tie Second, double Evidence, double Certain);

/// <summary>
/// Finds the ways in which two frames may fit together inside the window that the tolerance allows: correlation of the whole of what both show at
/// every shift and every rotation, at a reduced size first, then the best few at finer and finer sizes. Repeated patterns
/// give several; which of them is true is not decided here.
/// </summary>
internal static class PairSearch
{
    /// <summary>Half width of the window of the first search in its reduced pixels; wider tolerances begin at a coarser level.</summary>
    public const int WidestRadius = 26;

    /// <summary>Most ways kept after the search of all places, and of those after each finer one.</summary>
    private const int MostAtFirst = 128, MostLater = 48;

    /// <summary>Most ways that are handed on.</summary>
    public const int MostAtLast = 12;

    /// <summary>Least evidence at the first search: some ten thousand places are tried, and chance finds one with the logarithm of that.</summary>
    private const double LeastEvidence = 14;

    /// <summary>A way with less than this part of the best one's certain correlation is given up.</summary>
    private const double LeastShare = 0.6;

    /// <summary>Least certain correlation of a way that is kept.</summary>
    private const double LeastCertain = 0.1;

    /// <summary>How far a finer search looks around what the coarser found, reduced pixels.</summary>
    private const int FinerRadius = 3;

    /// <summary>The level of the first search.</summary>
    public static int FirstLevel(SearchWindow window)
    {
        int level = GrayPyramid.FinestLevel;
        while (window.Reach / (1 << level) > WidestRadius && level < 8)
            level++;
        return level;
    }

    /// <summary>The ways in which two frames may fit together, best first; empty where nothing shows that they share anything.</summary>
    /// <param name="frames">The frames.</param>
    /// <param name="pyramids">Their pyramids.</param>
    /// <param name="placements">Where they are believed to lie.</param>
    /// <param name="a">Index of the first frame.</param>
    /// <param name="b">Index of the second frame.</param>
    /// <param name="window">How far the belief may be wrong.</param>
    /// <param name="bench">The calling thread's memory.</param>
    public static IReadOnlyList<PairCandidate> Find(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids,
        IReadOnlyList<Placement> placements, int a, int b, SearchWindow window, MatchBench bench)
    {
        int level = FirstLevel(window);
        if (PairPicture.Of(frames, placements, a, b, pyramids[a][level], pyramids[b][level], level, window.Reach, bench) is not { } picture)
            return [];
        IReadOnlyList<Fit> fits = SearchAll(picture, window, bench);
        if (level == GrayPyramid.FinestLevel)
            fits = Best(fits.Select(fit => Sharpened(picture, fit)), MostAtLast);
        while (level > GrayPyramid.FinestLevel && fits.Count > 0)
        {
            level--;
            // The coarser picture's pixels go; where it lay is all that is still asked of it.
            if (PairPicture.Of(frames, placements, a, b, pyramids[a][level], pyramids[b][level], level, window.Reach, bench) is not { } finer)
                return [];
            fits = Best(fits.Select(fit => Sharpened(finer, Refine(finer, fit.Halved(picture, finer), window))), level == GrayPyramid.FinestLevel ? MostAtLast : MostLater);
            picture = finer;
        }
        return [.. fits.Select(fit => ToCandidate(picture, fit, placements, a, b))];
    }

    /// <summary>The evidence that two reduced pictures show the same somewhere in the window; 0 where nothing shows it.</summary>
    public static double BestEvidence(PairPicture picture, SearchWindow window, MatchBench bench)
    {
        IReadOnlyList<Fit> fits = SearchAll(picture, window, bench);
        return fits.Count == 0 ? 0 : fits[0].Evidence;
    }

    /// <summary>Ties between the pieces of two frames whose placements are known to within a few reduced pixels.</summary>
    public static List<Tie> Ties(PairPicture picture, IReadOnlyList<Placement> placements, int a, int b)
    {
        const int Radius = FinerRadius, Side = 2 * Radius + 1;
        var ties = new List<Tie>();
        var surface = new double[Side * Side];
        foreach (Block piece in picture.Pieces)
        {
            for (int i = 0; i < surface.Length; i++)
                surface[i] = picture.Compare(piece, i % Side - Radius, i / Side - Radius).Coefficient;
            CrossCorrelation.Peak peak = CrossCorrelation.PeakOf(surface, Radius);
            if (peak.AtEdge || peak.Coefficient < 0.35 || !peak.Bend.IsPositive)
                continue;
            // A peak as sharp as fine detail gives (a bend of one half) is good to a third of a reduced pixel; blurred detail and lone edges
            // count for less, along the direction in which they say little. Rough, and only for the start at full size.
            Information information = peak.Bend.Scaled(2 * peak.Coefficient * peak.Coefficient / (0.33 * 0.33 * picture.Scale * picture.Scale));
            ties.Add(ToTie(picture, piece.X + (piece.Width - 1) / 2.0, piece.Y + (piece.Height - 1) / 2.0, peak.Dx, peak.Dy, placements, a, b, information));
        }
        return ties;
    }

    // Every whole shift of the window, and every rotation that moves an end of the strip by another pixel.
    private static IReadOnlyList<Fit> SearchAll(PairPicture picture, SearchWindow window, MatchBench bench)
    {
        int radius = Math.Max(2, (int)Math.Ceiling(window.Reach / picture.Scale)), side = 2 * radius + 1;
        int pieces = picture.Pieces.Count;
        Span<PairSums> sums = bench.Sums(pieces * side * side);
        for (int i = 0; i < sums.Length; i++)
        {
            int k = i % (side * side);
            sums[i] = picture.Compare(picture.Pieces[i / (side * side)], k % side - radius, k / side - radius);
        }
        double step = AngleStep(picture);
        int turns = Turns(picture, step, window);
        var best = new Fit[side * side];
        for (int turn = -turns; turn <= turns; turn++)
        {
            (int X, int Y)[] offsets = Offsets(picture, turn * step);
            for (int k = 0; k < best.Length; k++)
            {
                PairSums total = default;
                for (int i = 0; i < pieces; i++)
                {
                    int x = k % side + offsets[i].X, y = k / side + offsets[i].Y;
                    if (x >= 0 && y >= 0 && x < side && y < side)
                        total += sums[(i * side + y) * side + x];
                }
                double evidence = total.Evidence;
                if (evidence > best[k].Evidence)
                    best[k] = new(k % side - radius, k / side - radius, turn * step, evidence, total.Coefficient);
            }
        }
        return Best(Enumerable.Range(0, best.Length).Where(k => best[k].Evidence >= LeastEvidence && IsPeak(best, k, side)).Select(k => best[k]), MostAtFirst);
    }

    // No neighbour is more certain; of equals the first counts.
    private static bool IsPeak(Fit[] fits, int at, int side)
    {
        (int x, int y) = (at % side, at / side);
        for (int row = Math.Max(0, y - 1); row <= Math.Min(side - 1, y + 1); row++)
        {
            for (int column = Math.Max(0, x - 1); column <= Math.Min(side - 1, x + 1); column++)
            {
                int other = row * side + column;
                if (fits[other].Certain > fits[at].Certain || (other < at && fits[other].Certain == fits[at].Certain))
                    return false;
            }
        }
        return true;
    }

    private static Fit Refine(PairPicture picture, Fit start, SearchWindow window)
    {
        const int Radius = FinerRadius, Side = 2 * Radius + 1, Shifts = Radius - 1;
        double step = AngleStep(picture);
        (int X, int Y)[] believed = Offsets(picture, start.Angle);
        PairSums[][] sums = [.. picture.Pieces.Select((piece, i) => Enumerable.Range(0, Side * Side)
            .Select(k => picture.Compare(piece, (int)start.Dx + believed[i].X + k % Side - Radius, (int)start.Dy + believed[i].Y + k / Side - Radius)).ToArray())];
        Fit best = start with { Evidence = 0, Certain = 0 };
        int turns = Math.Min(2, Turns(picture, step, window));
        for (int turn = -turns; turn <= turns; turn++)
        {
            (int X, int Y)[] offsets = Offsets(picture, start.Angle + turn * step);
            for (int dy = -Shifts; dy <= Shifts; dy++)
            {
                for (int dx = -Shifts; dx <= Shifts; dx++)
                {
                    PairSums total = default;
                    for (int i = 0; i < sums.Length; i++)
                    {
                        int x = dx + offsets[i].X - believed[i].X + Radius, y = dy + offsets[i].Y - believed[i].Y + Radius;
                        if (x >= 0 && y >= 0 && x < Side && y < Side)
                            total += sums[i][y * Side + x];
                    }
                    if (total.Certain > best.Certain)
                        best = new(start.Dx + dx, start.Dy + dy, start.Angle + turn * step, total.Evidence, total.Certain);
                }
            }
        }
        return best;
    }

    /// <summary>
    /// The certain correlation that remains when each piece is laid where it fits best, to a fraction of a pixel: between whole shifts as much is lost as
    /// equal bricks differ by. The correlation is about as band-limited as the pictures, and is interpolated as they are.
    /// </summary>
    private static Fit Sharpened(PairPicture picture, Fit fit)
    {
        const int Radius = Kernel.Margin, Side = 2 * Radius + 1;
        (int X, int Y)[] offsets = Offsets(picture, fit.Angle);
        Span<double> surface = stackalloc double[Side * Side];
        PairSums total = default;
        for (int i = 0; i < offsets.Length; i++)
        {
            PairSums middle = default;
            for (int k = 0; k < surface.Length; k++)
            {
                PairSums sums = picture.Compare(picture.Pieces[i], (int)fit.Dx + offsets[i].X + k % Side - Radius, (int)fit.Dy + offsets[i].Y + k / Side - Radius);
                surface[k] = sums.Coefficient;
                if (k == surface.Length / 2)
                    middle = sums;
            }
            if (middle.Count > 0)
                total += middle with { Product = Highest(surface, Side) * Math.Sqrt(middle.SquareA * middle.SquareB) };
        }
        return fit with { Evidence = total.Evidence, Certain = total.Certain };
    }

    // The highest value within a pixel of the middle, in steps of a quarter.
    private static double Highest(ReadOnlySpan<double> surface, int side)
    {
        const int Steps = 4;
        double highest = surface[surface.Length / 2];
        Span<double> wx = stackalloc double[Kernel.Taps], wy = stackalloc double[Kernel.Taps];
        for (int y = -Steps; y < Steps; y++)
        {
            Kernel.Exact((y + Steps) % Steps / (double)Steps, wy);
            int top = side / 2 + (y < 0 ? -1 : 0) - (Kernel.Margin - 1);
            for (int x = -Steps; x < Steps; x++)
            {
                Kernel.Exact((x + Steps) % Steps / (double)Steps, wx);
                int left = side / 2 + (x < 0 ? -1 : 0) - (Kernel.Margin - 1);
                double sum = 0;
                for (int row = 0; row < Kernel.Taps; row++)
                {
                    for (int column = 0; column < Kernel.Taps; column++)
                        sum += wy[row] * wx[column] * surface[(top + row) * side + left + column];
                }
                highest = Math.Max(highest, sum);
            }
        }
        return highest;
    }

    private static Fit[] Best(IEnumerable<Fit> fits, int most)
    {
        Fit[] sorted = [.. fits.Where(fit => fit.Certain >= LeastCertain).OrderByDescending(fit => fit.Certain)];
        var kept = new List<Fit>();
        foreach (Fit fit in sorted)
        {
            // Two ways that grew together are one.
            if (kept.Count < most && fit.Certain >= LeastShare * sorted[0].Certain && !kept.Any(k => Math.Abs(k.Dx - fit.Dx) <= 2 && Math.Abs(k.Dy - fit.Dy) <= 2))
                kept.Add(fit);
        }
        return [.. kept];
    }

    // The rotation that moves the farthest piece by a pixel.
    private static double AngleStep(PairPicture picture) => 1 / Math.Max(8, picture.Pieces.Max(piece =>
        Math.Max(Math.Abs(piece.X + piece.Width / 2.0 - picture.Width / 2.0), Math.Abs(piece.Y + piece.Height / 2.0 - picture.Height / 2.0))));

    // A single piece cannot tell rotations apart.
    private static int Turns(PairPicture picture, double step, SearchWindow window) => picture.Pieces.Count == 1 ? 0 : (int)Math.Ceiling(2 * window.Radians / step);

    // How a rotation about the strip's middle moves the pieces.
    private static (int X, int Y)[] Offsets(PairPicture picture, double angle) => [.. picture.Pieces.Select(piece => (
        (int)Math.Round(-angle * (piece.Y + piece.Height / 2.0 - picture.Height / 2.0)), (int)Math.Round(angle * (piece.X + piece.Width / 2.0 - picture.Width / 2.0))))];

    private static PairCandidate ToCandidate(PairPicture picture, Fit fit, IReadOnlyList<Placement> placements, int a, int b)
    {
        bool wide = picture.Width > picture.Height;
        Tie Spot(double side)
        {
            (double ox, double oy) = wide ? (side * picture.Width / 3, 0.0) : (0.0, side * picture.Height / 3);
            return ToTie(picture, (picture.Width - 1) / 2.0 + ox, (picture.Height - 1) / 2.0 + oy, fit.Dx - fit.Angle * oy, fit.Dy + fit.Angle * ox,
                placements, a, b, Information.Isotropic(picture.Scale));
        }
        return new(a, b, Spot(-1), Spot(1), fit.Evidence, fit.Certain);
    }

    private static Tie ToTie(PairPicture picture, double x, double y, double dx, double dy, IReadOnlyList<Placement> placements, int a, int b, Information information)
    {
        (double ax, double ay) = picture.ToFrame(x, y);
        (double cx, double cy) = placements[a].ToCanvas(ax + dx * picture.Scale, ay + dy * picture.Scale);
        (double bx, double by) = placements[b].ToFrame(cx, cy);
        return new(a, b, ax, ay, bx, by, information);
    }

    /// <summary>A shift and a rotation about the strip's middle, in reduced pixels and radians.</summary>
    private readonly record struct Fit(double Dx, double Dy, double Angle, double Evidence, double Certain)
    {
        // The strips of two levels need not have the same middle: rounding outward moves it by a fraction of a pixel.
        public Fit Halved(PairPicture coarse, PairPicture fine)
        {
            (double cx, double cy) = coarse.ToFrame((coarse.Width - 1) / 2.0, (coarse.Height - 1) / 2.0);
            (double fx, double fy) = fine.ToFrame((fine.Width - 1) / 2.0, (fine.Height - 1) / 2.0);
            double ratio = coarse.Scale / fine.Scale;
            return this with
            {
                Dx = Math.Round(Dx * ratio - Angle * (fy - cy) / fine.Scale),
                Dy = Math.Round(Dy * ratio + Angle * (fx - cx) / fine.Scale),
            };
        }
    }
}
