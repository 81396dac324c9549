using System.Collections.Concurrent;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Sdk.Testing.Fakes;

/// <summary>A guide whose answers the test decides, and which remembers what it was asked and told. Safe to use from several threads.</summary>
public sealed class FakeGuide : ILayoutGuide
{
    private readonly ConcurrentQueue<IReadOnlyList<Tile>> _tried = new();
    private readonly ConcurrentQueue<string> _notes = new();

    /// <inheritdoc/>
    public IBack? Back { get; init; }

    /// <summary>What the rules are to say of an arrangement; unless set, that it is accepted with 1 mm of overlap and no handling.</summary>
    public Func<IReadOnlyList<Tile>, LayoutTrial> Answer { get; init; } = _ => new(true, 1, default);

    /// <summary>The arrangements that were tried, in order.</summary>
    public IReadOnlyList<IReadOnlyList<Tile>> Tried => [.. _tried];

    /// <summary>What the layout told the user.</summary>
    public IReadOnlyList<string> Notes => [.. _notes];

    /// <inheritdoc/>
    public LayoutTrial Try(IReadOnlyList<Tile> tiles)
    {
        ArgumentNullException.ThrowIfNull(tiles);
        if (tiles.FirstOrDefault(tile => !double.IsFinite(tile.Pose.Centre.X) || !double.IsFinite(tile.Pose.Centre.Y) || !double.IsFinite(tile.Pose.Rotation)) is { } wild)
            throw new InputException($"A tile stands at {wild.Pose.Centre}.", wild.Id, "Look for a division by zero.");
        _tried.Enqueue(tiles);
        return Answer(tiles);
    }

    /// <inheritdoc/>
    public void Note(string text) => _notes.Enqueue(text);
}
