using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>Its constructor hangs.</summary>
public sealed class HangingConstructor : IMosaicLayout
{
    public HangingConstructor() => Misdeeds.Hang("constructor");

    public PartDescription Description => new("hanging-constructor", "Its constructor hangs");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}

/// <summary>Its class is never ready.</summary>
public sealed class HangingStatics : IMosaicLayout
{
    static HangingStatics() => Misdeeds.Hang("statics");

    public PartDescription Description => new("hanging-statics", "Its class is never ready");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}

/// <summary>Its class cannot be made ready.</summary>
public sealed class ThrowingStatics : IMosaicLayout
{
    static ThrowingStatics() => throw new InvalidOperationException("the statics are broken");

    public PartDescription Description => new("throwing-statics", "Its class cannot be made ready");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}

/// <summary>Never says what it is.</summary>
public sealed class HangingDescription : IMosaicLayout
{
    public PartDescription Description
    {
        get
        {
            Misdeeds.Hang("description");
            return new("hanging-description", "Never says what it is");
        }
    }

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}

/// <summary>Says nothing.</summary>
public sealed class NoDescription : IMosaicLayout
{
    public PartDescription Description => null!;

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}

/// <summary>Arranges for ever.</summary>
public sealed class HangingArrange : IMosaicLayout
{
    public PartDescription Description { get; } = new("hanging-arrange", "Arranges for ever");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        Misdeeds.Count("hanging-arrange");
        Misdeeds.Hang("arrange");
        return [new(default)];
    }
}

/// <summary>Gives back nothing.</summary>
public sealed class NoTiles : IMosaicLayout
{
    public PartDescription Description { get; } = new("no-tiles", "Gives back nothing");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        Misdeeds.Count("no-tiles");
        return null!;
    }
}

/// <summary>Gives back a tile that is none.</summary>
public sealed class NoTile : IMosaicLayout
{
    public PartDescription Description { get; } = new("no-tile", "Gives back a tile that is none");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default), null!];
}

/// <summary>Throws at work.</summary>
public sealed class ThrowingArrange : IMosaicLayout
{
    public PartDescription Description { get; } = new("throwing-arrange", "Throws at work");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        Misdeeds.Count("throwing-arrange");
        throw new InvalidOperationException("no tile today");
    }
}

/// <summary>The one that is sound.</summary>
public sealed class Sound : IMosaicLayout
{
    public PartDescription Description { get; } = new("sound", "The one that is sound");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}
