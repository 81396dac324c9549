using Imbrex.Engine.Documents;
using Imbrex.Engine.Simulation;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>Plans of a small sensor, 600 x 400 px on 36 x 24 mm, and what is done to their frames.</summary>
internal static class SmallTake
{
    public const double PxPerMm = 600 / 36.0;

    public static SensorPart Sensor { get; } = new() { WidthMm = 36, HeightMm = 24, WidthPx = 600, HeightPx = 400 };

    public static PlanDocument Grid(int columns, int rows) => Plan(36 + 27 * (columns - 1) - 2, 24 + 16 * (rows - 1) - 2,
        from row in Enumerable.Range(0, rows)
        from column in Enumerable.Range(0, columns)
        select new TilePart { Id = $"t{row}{column}", XMm = 27 * (column - (columns - 1) / 2.0), YMm = 16 * (row - (rows - 1) / 2.0) });

    public static PlanDocument Plan(double widthMm, double heightMm, IEnumerable<TilePart> tiles) => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = Sensor,
        Format = new() { WidthMm = widthMm, HeightMm = heightMm },
        Tiles = [.. tiles],
    };

    // Two level tiles with the back as it is, two with the body on its side, one of them with the back turned over: turns 0, 180, 90, 270.
    public static PlanDocument MixedTurns() => Plan(60, 34,
    [
        new() { Id = "level", XMm = 13, YMm = -6 },
        new() { Id = "over", XMm = 13, YMm = 6, TurnDeg = 180, BackTurned = true },
        new() { Id = "upright", XMm = -8, YMm = 0, TurnDeg = 90 },
        new() { Id = "upright-over", XMm = -19, YMm = 1, TurnDeg = 270, BackTurned = true },
    ]);

    public static IScene Photograph { get; } = PhotographScene.Load(TestData.Mountain, 700, 900);

    public static CameraFaults Shaken => new() { Seed = 5, PositionSdMm = 0.2, PositionMaxMm = 0.4, RotationSdDeg = 0.15, RotationMaxDeg = 0.4, ReadNoise = 0.001, FullWell = 60_000, ExposureStops = -0.3 };

    /// <summary>Replaces a frame by itself, changed.</summary>
    public static void Change(string path, Func<Image, Image> change, Enums.ForeignTiffCompression? compression = null)
    {
        string changed = path + ".changed.tif";
        using (Image image = Image.NewFromFile(path))
        using (Image result = change(image))
            result.Tiffsave(changed, compression: compression);
        File.Move(changed, path, overwrite: true);
    }

    public static void TurnUpsideDown(string path) => Change(path, image => image.Rot180());

    public static ushort[] Pixels(string path, out int width, out int bands)
    {
        using Image image = Image.NewFromFile(path, failOn: Enums.FailOn.Error);
        (width, bands) = (image.Width, image.Bands);
        return image.WriteToMemory<ushort>();
    }

    /// <summary>Every file of a folder with its content; null where there is no folder.</summary>
    public static IReadOnlyDictionary<string, string>? Snapshot(string folder) => !Directory.Exists(folder) ? null
        : Directory.EnumerateFileSystemEntries(folder, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal)
            .ToDictionary(path => path, path => Directory.Exists(path) ? "folder" : Content(path));

    private static string Content(string path) => Engine.Intake.FileHash.Of(path, TestContext.Current.CancellationToken);
}
