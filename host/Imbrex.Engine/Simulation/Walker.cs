using System.Numerics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>Something that stood in one frame and was gone in the next: an upright ellipse that hides what is behind it, with a soft edge.</summary>
/// <param name="Tile">The tile.</param>
/// <param name="Exposure">Which of the tile's frames, from 0.</param>
/// <param name="X">Its middle on the canvas, px.</param>
/// <param name="Y">Its middle on the canvas, px.</param>
/// <param name="Width">Its width, px.</param>
/// <param name="Height">Its height, px.</param>
/// <param name="Light">Its linear light; broad stripes across it are a little darker.</param>
public sealed record Walker(string Tile, int Exposure, double X, double Y, double Width, double Height, Vector3 Light)
{
    // Half the width of the edge: wide enough to be resampled honestly.
    private const float Soft = 1.75f;

    /// <summary>Scatters walkers over some tiles: every second one where the tile shares the picture with a neighbour, if it does anywhere.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="seed">The same seed gives the same walkers.</param>
    /// <param name="tiles">The tiles' numbers in the plan.</param>
    /// <param name="each">Walkers in each frame.</param>
    /// <param name="width">Their mean width, px; they differ by a quarter.</param>
    /// <param name="height">Their mean height, px.</param>
    /// <param name="exposures">Frames of each tile; every one has its own walkers.</param>
    public static IReadOnlyList<Walker> Scatter(PlanDocument plan, long seed, IEnumerable<int> tiles, int each, double width, double height, int exposures = 1)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(tiles);
        var walkers = new List<Walker>();
        foreach (int tile in tiles)
        {
            for (int i = 0; i < exposures * each; i++)
                walkers.Add(Place(plan, CounterNoise.Bits(seed, tile, i), tile, i / each, width, height, wantsNeighbour: i % 2 == 0));
        }
        return walkers;
    }

    /// <summary>What of the canvas it may touch.</summary>
    internal BoxPart Box => new() { LeftPx = X - Width / 2 - Soft, TopPx = Y - Height / 2 - Soft, WidthPx = Width + 2 * Soft, HeightPx = Height + 2 * Soft };

    /// <summary>How much of a pixel it hides, 0 to 1.</summary>
    internal float Cover(int x, int y)
    {
        (double dx, double dy) = ((x - X) / (Width / 2), (y - Y) / (Height / 2));
        double inside = (1 - Math.Sqrt(dx * dx + dy * dy)) * Math.Min(Width, Height) / 2;
        float part = Math.Clamp((float)(inside + Soft) / (2 * Soft), 0, 1);
        return part * part * (3 - 2 * part);
    }

    /// <summary>Its own light at a row.</summary>
    internal Vector3 LightAt(int y) => Light * (0.85f + 0.15f * (float)Math.Cos(2 * Math.PI * (y - Y) / Math.Max(8, Height / 4)));

    internal void Validate(int exposures)
    {
        CameraFaults.Require(nameof(Exposure), Exposure, Exposure >= 0 && Exposure < exposures);
        CameraFaults.Require(nameof(Width), Width, Width is >= 4 and <= 10_000);
        CameraFaults.Require(nameof(Height), Height, Height is >= 4 and <= 10_000);
        if (!double.IsFinite(X) || !double.IsFinite(Y))
            throw new InputException("A walker stands nowhere.", Tile, "Give it a place on the canvas.");
    }

    private static Walker Place(PlanDocument plan, ulong key, int tile, int exposure, double width, double height, bool wantsNeighbour)
    {
        double Draw(int which) => CounterNoise.Uniform((long)key, which, 0);
        (width, height) = (width * (0.75 + 0.5 * Draw(0)), height * (0.75 + 0.5 * Draw(1)));
        var light = new Vector3((float)(0.05 + 0.5 * Draw(2)), (float)(0.05 + 0.4 * Draw(3)), (float)(0.05 + 0.4 * Draw(4)));
        Canvas canvas = Canvas.Of(plan);
        ISensor sensor = plan.TheSensor();
        SensorPose pose = plan.Tiles[tile].ToPose();
        (double x, double y) = (0, 0);
        for (int attempt = 0; attempt < 200; attempt++)
        {
            (double dx, double dy) = ((Draw(10 + 2 * attempt) - 0.5) * sensor.WidthMm, (Draw(11 + 2 * attempt) - 0.5) * sensor.HeightMm);
            (double sin, double cos) = Angles.SinCosDegrees(pose.Turn.Degrees() + pose.Rotation);
            PlanePoint place = pose.Centre + new PlanePoint(cos * dx - sin * dy, sin * dx + cos * dy);
            (x, y) = canvas.ToPixel(place);
            bool onCanvas = x > 0 && y > 0 && x < canvas.Width && y < canvas.Height;
            if (onCanvas && (!wantsNeighbour || attempt > 150 || plan.Tiles.Where((_, other) => other != tile).Any(other => Holds(other.ToPose(), sensor, place))))
                break;
        }
        return new(plan.Tiles[tile].Id, exposure, x, y, width, height, light);
    }

    private static bool Holds(SensorPose pose, ISensor sensor, PlanePoint point)
    {
        (double sin, double cos) = Angles.SinCosDegrees(pose.Turn.Degrees() + pose.Rotation);
        (double x, double y) = (point.X - pose.Centre.X, point.Y - pose.Centre.Y);
        return Math.Abs(cos * x + sin * y) < sensor.WidthMm / 2 && Math.Abs(cos * y - sin * x) < sensor.HeightMm / 2;
    }
}

/// <summary>A scene with walkers in front of it.</summary>
internal sealed class PeopledScene(IScene scene, IReadOnlyList<Walker> walkers) : IScene
{
    public void Render(PixelBlock block, Span<float> rgbx)
    {
        scene.Render(block, rgbx);
        foreach (Walker walker in walkers)
            Paint(walker, block, rgbx);
    }

    private static void Paint(Walker walker, PixelBlock block, Span<float> rgbx)
    {
        BoxPart box = walker.Box;
        int left = Math.Max(block.X, (int)Math.Floor(box.LeftPx)), right = Math.Min(block.X + block.Width - 1, (int)Math.Ceiling(box.LeftPx + box.WidthPx));
        int top = Math.Max(block.Y, (int)Math.Floor(box.TopPx)), bottom = Math.Min(block.Y + block.Height - 1, (int)Math.Ceiling(box.TopPx + box.HeightPx));
        for (int y = top; y <= bottom; y++)
        {
            Vector3 light = walker.LightAt(y);
            for (int x = left; x <= right; x++)
            {
                float cover = walker.Cover(x, y);
                Span<float> pixel = rgbx.Slice(((y - block.Y) * block.Width + x - block.X) * 4, 4);
                (pixel[0], pixel[1], pixel[2]) = (pixel[0] + cover * (light.X - pixel[0]), pixel[1] + cover * (light.Y - pixel[1]), pixel[2] + cover * (light.Z - pixel[2]));
            }
        }
    }
}
