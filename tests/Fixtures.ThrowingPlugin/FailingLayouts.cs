using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>Cannot be made.</summary>
public sealed class StillbornLayout : IMosaicLayout
{
    public StillbornLayout() => throw new InvalidOperationException("the spring is broken");

    public PartDescription Description => new("stillborn", "Never seen");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [];
}

/// <summary>Cannot say what it is.</summary>
public sealed class MuteLayout : IMosaicLayout
{
    public PartDescription Description => throw new InvalidOperationException("lost for words");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [];
}

/// <summary>Fails at work.</summary>
public sealed class StumblingLayout : IMosaicLayout
{
    public PartDescription Description { get; } = new("stumbling", "Fails at work");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => throw new DivideByZeroException("no gap between the detents");
}

/// <summary>Places nothing.</summary>
public sealed class IdleLayout : IMosaicLayout
{
    public PartDescription Description { get; } = new("idle", "Places nothing");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [];
}
