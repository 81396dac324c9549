using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>Frames without pixels, 6000 x 4000 px at 167 px/mm, and ties between them as a perfect search would find them, with noise.</summary>
internal sealed class SyntheticTies : IDisposable
{
    public const double PxPerMm = 6000 / 36.0;

    /// <summary>Distance from exit pupil to image plane, px.</summary>
    public const double Pupil = 150 * PxPerMm;

    public static readonly LensAxis Axis = new(7000, 4000, PxPerMm);

    private readonly string _file = Path.GetTempFileName();

    // The frames' file is never read.
    public SyntheticTies(IEnumerable<(double XMm, double YMm, int Turn, bool Over)> tiles) => Frames =
    [
        .. tiles.Select((tile, i) => new PlacedFrame($"t{i}", new Frame(_file, 0, 6000, 4000, tile.Turn / 90), new(Axis.X - tile.XMm * PxPerMm, Axis.Y - tile.YMm * PxPerMm, 0))
        {
            Body = new(tile.Turn, tile.Over),
        }),
    ];

    public IReadOnlyList<PlacedFrame> Frames { get; }

    /// <summary>Ties on a grid over what each pair shares.</summary>
    /// <param name="cast">The canvas position of an offset from a frame's centre.</param>
    /// <param name="noise">Standard deviation of each, px.</param>
    /// <param name="random">Its source.</param>
    public List<Tie> Between(Func<int, double, double, (double X, double Y)> cast, double noise, Random random)
    {
        List<Tie> ties = [];
        foreach (SharedArea area in SharedArea.Find(Frames, [.. Frames.Select(f => f.Nominal)], least: 300))
        {
            for (int i = 0; i < 32; i++)
            {
                double ax = area.Left + area.Width * (0.1 + 0.8 * (i % 4) / 3.0), ay = area.Top + area.Height * (0.1 + 0.8 * (i / 4) / 7.0);
                (double x, double y) = cast(area.A, ax, ay);
                (x, y) = (x + noise * Normal(random), y + noise * Normal(random));
                (double bx, double by) = Inverse(cast, area.B, x, y);
                ties.Add(new(area.A, area.B, ax, ay, bx, by, Information.Isotropic(Math.Max(noise, 0.002))));
            }
        }
        return ties;
    }

    public void Dispose()
    {
        foreach (PlacedFrame frame in Frames)
            frame.Frame.Dispose();
        File.Delete(_file);
    }

    /// <summary>A normal number.</summary>
    public static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    // Newton's method with the unit derivative, which these maps nearly have.
    private (double X, double Y) Inverse(Func<int, double, double, (double X, double Y)> cast, int frame, double x, double y)
    {
        (double dx, double dy) = (x - Frames[frame].Nominal.X, y - Frames[frame].Nominal.Y);
        for (int round = 0; round < 60; round++)
        {
            (double cx, double cy) = cast(frame, dx, dy);
            (dx, dy) = (dx + x - cx, dy + y - cy);
        }
        return (dx, dy);
    }
}
