using Imbrex.Engine.Clearance;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Engine.Planning;

/// <summary>Lets a layout try its arrangements by the rules that will judge it.</summary>
/// <param name="check">The request that the layout's tiles will be part of.</param>
internal sealed class LayoutGuide(CheckRequest check) : ILayoutGuide
{
    private readonly UsableTiles _usable = UsableTiles.For(check);
    private readonly List<string> _notes = [];

    public IReadOnlyList<string> Notes => _notes;

    public IBack? Back => check.Back;

    public LayoutTrial Try(IReadOnlyList<Tile> tiles)
    {
        ArgumentNullException.ThrowIfNull(tiles);
        IReadOnlyList<PlacedTile> placed = PlacedTile.Named(tiles);
        CheckRequest trial = check with { Tiles = placed };
        RequestCheck.Validate(trial);
        Shoot shoot = Shoot.Plan(trial);
        TileRectangle[] usable = _usable.Of(shoot.Tiles);
        bool reached = Back is null || shoot.Tiles.All(tile => tile.Setting is not null);
        bool covered = WindowRule.Holds(check.Format, usable, default);
        bool accepted = reached && covered && WindowRule.Holds(check.Format, usable, new(check.Overlap, check.Overlap)) && JoinedTiles.Find(usable, check.Overlap).Groups.Count == 1
            && ClearanceRule.Of(trial with { Tiles = shoot.Tiles })?.Holds() is not false;
        double overlap = covered ? OverlapMeasure.Window(check.Format, usable) : 0;
        return new(accepted, overlap, shoot.Handling is { } work ? new(work.BackTurns, work.CameraTurns, work.TravelMm) : default);
    }

    public void Note(string text) => _notes.Add(text);
}
