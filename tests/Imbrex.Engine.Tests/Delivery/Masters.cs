using System.Runtime.InteropServices;
using Imbrex.Engine.Documents;
using Imbrex.Sdk.Exports;

namespace Imbrex.Engine.Tests.Delivery;

/// <summary>Small masters whose samples tell where they lie.</summary>
internal static class Masters
{
    public static ushort Sample(int x, int y, int band) => (ushort)(x * 31 + y * 977 + band * 13001);

    public static string Write(string path, int width, int height, int bands = 3, bool? bigTiff = null, byte[]? profile = null)
    {
        byte[] header = TiffHeader.Build(new() { Width = width, Height = height, Bands = bands, PixelsPerMm = 200, IccProfile = profile }, bigTiff);
        var samples = new ushort[width * height * bands];
        for (int i = 0; i < samples.Length; i++)
            samples[i] = Sample(i / bands % width, i / bands / width, i % bands);
        File.WriteAllBytes(path, [.. header, .. MemoryMarshal.AsBytes(samples.AsSpan())]);
        return path;
    }

    public static MosaicDocument Document(int width, int height) => new()
    {
        Schema = MosaicDocument.SchemaName,
        PxPerMm = 200,
        WidthPx = width,
        HeightPx = height,
        LeftMm = 0,
        TopMm = 0,
        Master = "master.tif",
        Motion = "shift-rotation",
        Shading = new() { Model = "none" },
        Options = new() { ToleranceMm = 0.5, AngularToleranceDeg = 0.5, BlendLevels = 5 },
        Seed = 1,
        Tiles = [],
        Pairs = [],
        Findings = [],
        Plan = Simulation.Plans.Of(Simulation.Plans.Sensor(6, 4, 1200, 800), 6, 4, Simulation.Plans.Tile("a", 0, 0)),
        Versions = new Dictionary<string, string>(),
    };
}
