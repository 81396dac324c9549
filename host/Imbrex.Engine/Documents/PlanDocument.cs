using System.Text.Json.Serialization;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Documents;

/// <summary>What is to be shot, in shooting order. Written by <c>imbrex plan</c>, or by hand with sensor, format and tiles only.</summary>
public sealed record PlanDocument : JsonDocument
{
    public const string SchemaName = "imbrex/plan/1";

    public string? Name { get; init; }

    /// <summary>The kit, or null where <see cref="Sensor"/> stands instead.</summary>
    public KitDocument? Kit { get; init; }
    public SensorPart? Sensor { get; init; }
    public required SizePart Format { get; init; }

    /// <summary>Required overlap in mm; without it, the kit's, and without that 10 % of the sensor's short side.</summary>
    public double? OverlapMm { get; init; }
    public LayoutPart? Layout { get; init; }

    /// <summary>What belongs to this picture: focus, movements, exposure.</summary>
    public PicturePart? Picture { get; init; }
    public required IReadOnlyList<TilePart> Tiles { get; init; }

    /// <summary>The sensor, from wherever it is given.</summary>
    public ISensor TheSensor() => (ISensor?)Kit?.Body ?? Sensor ?? throw new InvalidOperationException("A validated plan has a kit or a sensor.");

    /// <summary>The required overlap, mm.</summary>
    public double TheOverlap() => OverlapMm ?? Kit?.OverlapMm ?? 0.1 * TheSensor().Size().ShortSide;

    internal override void Validate(DocumentCheck check)
    {
        check.Require((Kit is null) != (Sensor is null), "$", "A plan has \"kit\" or \"sensor\", and never both.");
        Kit?.Validate(check);
        if (Sensor is not null)
            SensorRules.Validate(Sensor, check, "$.sensor");
        Format.Validate(check, "$.format");
        check.NotNegative(OverlapMm, "$.overlapMm");
        Picture?.Validate(check, "$.picture");
        check.Require(Picture?.MountDepthMm is not { } depth || Kit?.Back.DatumToMountMm is not { } range || (depth >= range.Least && depth <= range.Most),
            "$.picture.mountDepthMm", "The kit's mount does not go there: see back.datumToMountMm.");
        check.Require(Tiles.Count > 0, "$.tiles", "The plan has no tiles.");
        var ids = new HashSet<string>(StringComparer.Ordinal);
        var files = new HashSet<string>(StringComparer.Ordinal);
        check.Each(Tiles, "$.tiles", (tile, at) =>
        {
            tile.Validate(check, at);
            check.Require(ids.Add(tile.Id), at + ".id", $"Two tiles are called \"{tile.Id}\".");
            foreach (string file in tile.NamedFiles ?? [])
                check.Require(files.Add(file), at + (tile.File is null ? ".files" : ".file"), $"The frame \"{file}\" is named twice.");
        });
        int named = Tiles.Count(tile => tile?.NamedFiles is not null);
        check.Require(named == 0 || named == Tiles.Count, "$.tiles", $"{named} of {Tiles.Count} tiles name a file: name all or none.");
    }
}

/// <summary>A width and a height in millimetres on the image plane.</summary>
public sealed record SizePart
{
    public required double WidthMm { get; init; }
    public required double HeightMm { get; init; }

    public static SizePart From(PlaneSize size) => new() { WidthMm = size.Width, HeightMm = size.Height };

    public PlaneSize ToSize() => new(WidthMm, HeightMm);

    internal void Validate(DocumentCheck check, string path)
    {
        check.Positive(WidthMm, path + ".widthMm");
        check.Positive(HeightMm, path + ".heightMm");
    }
}

/// <summary>The layout that placed the tiles: enough to place them again.</summary>
public sealed record LayoutPart
{
    public required string Name { get; init; }
    public IReadOnlyDictionary<string, string>? Parameters { get; init; }

    /// <summary>SHA-256 of the script, where the layout is one.</summary>
    public string? ScriptSha256 { get; init; }
}

/// <summary>One tile: its final pose on the image plane, and what to dial in for it.</summary>
public sealed record TilePart
{
    /// <summary>Most frames that one tile may have.</summary>
    public const int MostFiles = 64;

    public required string Id { get; init; }
    public required double XMm { get; init; }
    public required double YMm { get; init; }
    public int TurnDeg { get; init; }
    public double? RotationDeg { get; init; }
    public bool? BackTurned { get; init; }
    public SettingPart? Setting { get; init; }

    /// <summary>The frame, relative to the frames folder, with '/'.</summary>
    public string? File { get; init; }

    /// <summary>Where the tile was shot several times: all its frames in the order in which they were taken, instead of <see cref="File"/>.</summary>
    public IReadOnlyList<string>? Files { get; init; }

    /// <summary>The frames that the plan names for this tile, or null where it names none.</summary>
    [JsonIgnore]
    public IReadOnlyList<string>? NamedFiles => Files ?? (File is null ? null : [File]);

    public SensorPose ToPose() => new(new(XMm, YMm), Turns.FromDegrees(TurnDeg), RotationDeg ?? 0);

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(!string.IsNullOrWhiteSpace(Id), path + ".id", "The tile has no name.");
        check.Require(TurnDeg is 0 or 90 or 180 or 270, path + ".turnDeg", $"The turn is {TurnDeg}; it must be 0, 90, 180 or 270.");
        check.Require(RotationDeg is not (> 180 or <= -180), path + ".rotationDeg", "A rotation lies above -180 and up to 180 degrees.");
        Setting?.Validate(check, path + ".setting");
        check.Require(File is null || IsPlainRelative(File), path + ".file", $"\"{File}\" is not a relative path with '/' below the frames folder.");
        check.Require(File is null || Files is null, path, "A tile has \"file\" or \"files\", and never both.");
        check.Require(Files is null or { Count: > 0 and <= MostFiles }, path + ".files", $"A tile may name 1 to {MostFiles} frames.");
        check.Each(Files, path + ".files", (file, at) => check.Require(IsPlainRelative(file), at, $"\"{file}\" is not a relative path with '/' below the frames folder."));
    }

    private static bool IsPlainRelative(string file) =>
        file.Length > 0 && !Path.IsPathRooted(file) && !file.Contains('\\') && !file.Contains(':') && !file.Split('/').Any(part => part is "" or "." or "..");
}

/// <summary>What is dialled in for a tile.</summary>
public sealed record SettingPart
{
    /// <summary>One position for each axis of the back: mm for a slide, degrees for a pivot.</summary>
    public required IReadOnlyList<double> Positions { get; init; }
    public int TurnDeg { get; init; }
    public bool BackTurned { get; init; }

    public static SettingPart From(Setting setting) =>
        new() { Positions = setting.Positions, TurnDeg = setting.CameraTurn.Degrees(), BackTurned = setting.BackTurned };

    public Setting ToSetting() => new(Positions, Turns.FromDegrees(TurnDeg), BackTurned);

    internal void Validate(DocumentCheck check, string path) =>
        check.Require(TurnDeg is 0 or 90 or 180 or 270, path + ".turnDeg", $"The turn is {TurnDeg}; it must be 0, 90, 180 or 270.");
}
