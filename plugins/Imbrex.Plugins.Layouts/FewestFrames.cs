using Imbrex.Plugins.Layouts.Fewest;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using static System.FormattableString;

namespace Imbrex.Plugins.Layouts;

/// <summary>
/// The layout of fewest frames within the back's reach, level and upright tiles mixed. Of several with as few it takes the one with more overlap, and of those the one
/// with less handling.
/// </summary>
/// <remarks>
/// How few is proven by counting or by exhaustive search where that is short enough, which it is for up to some 25 frames; the host is told. Where mount or back cut the light of
/// tiles, or parts collide, so that the rules refuse as few, tiles that all stand alike are tried and more overlap is asked for until they accept, which is no proof.
/// </remarks>
public sealed class FewestFrames : IMosaicLayout
{
    private const string Turns = "turns";
    private const string Any = "any";
    private const string Level = "level";
    private const string Upright = "upright";

    // Nobody shoots more frames than these.
    private const int MostAlike = 200;

    // Overlaps that differ by less than this are alike, mm: handling then decides.
    private const double AlikeOverlap = 0.1;

    // Where the rules want more than the cover, the overlap grows by this part of what a tile's short side has.
    private const double Growth = 0.04;

    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "fewest-frames",
        "The fewest frames that the back reaches, level and upright tiles mixed; of those the one with most overlap",
        ParameterDefinition.Choice(Turns, "How the body may stand", Any, Level, Upright));

    /// <inheritdoc/>
    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        string allowed = request.Parameters.Word(Turns);
        Designer designer = For(request, allowed);
        double asked = request.Format.ShortSide < request.Overlap ? 0 : request.Overlap;
        Design design = designer.Find(asked);
        if (Best(request, designer, design.Tiles, asked) is { } best)
        {
            Say(request, best.Count, design.IsFewest, design.AtLeast);
            return best;
        }
        IReadOnlyList<Tile>? alike = allowed == Any ? OfOneTurn(request, asked) : null;
        for (double more = asked; (more += Growth * request.Sensor.ShortSide) < request.Format.ShortSide && designer.Stations(more).Count > 0;)
        {
            IReadOnlyList<Laid> tiles = designer.Find(more).Tiles;
            if (tiles.Count >= alike?.Count)
                break;
            if (Best(request, designer, tiles, more) is { } wider)
                return Said(wider);
        }
        if (alike is not null)
            return Said(alike);

        // Nothing does: the host says of this one why.
        return [.. design.Tiles.Select(tile => tile.ToTile())];

        IReadOnlyList<Tile> Said(IReadOnlyList<Tile> tiles)
        {
            Say(request, tiles.Count, design.IsFewest && tiles.Count == design.Tiles.Count, design.AtLeast);
            return tiles;
        }
    }

    private static Designer For(LayoutRequest request, string allowed) =>
        new(request, turn => allowed == Any || allowed == Upright == turn is Turn.Quarter or Turn.ThreeQuarters);

    // Where the rules refuse the mixture, as where the turned body collides, tiles that all stand alike may do.
    private static IReadOnlyList<Tile>? OfOneTurn(LayoutRequest request, double asked) => new[] { Level, Upright }
        .Select(allowed => For(request, allowed))
        .Where(designer => designer.Stations(asked).Count > 0)
        .Select(designer => designer.Cover(asked, MostAlike) is { } tiles ? Best(request, designer, tiles, asked) : null)
        .OfType<IReadOnlyList<Tile>>()
        .MinBy(tiles => tiles.Count);

    private static void Say(LayoutRequest request, int frames, bool isFewest, int atLeast) => request.Guide?.Note(isFewest || frames == atLeast
        ? Invariant($"{frames} frames are proven the fewest: level and upright tiles within the back's reach cannot do with {frames - 1}.")
        : Invariant($"{frames} frames are the fewest found; it is not proven that fewer cannot do, but fewer than {atLeast} cannot."));

    // The arrangement of as many frames that overlaps most and asks least handling, among what the rules accept; null where they accept none.
    private static IReadOnlyList<Tile>? Best(LayoutRequest request, Designer designer, IReadOnlyList<Laid> tiles, double asked)
    {
        IReadOnlyList<Laid> widest = Widest(designer, tiles, asked, out double reached);
        IReadOnlyList<Tile>[] candidates =
        [
            .. Grids.Of(request, designer.Stations(asked), tiles.Count),
            Tiles(Settling.Settle(designer.Area(reached), widest)),
            Tiles(Settling.Settle(designer.Area(asked), tiles)),
            Tiles(tiles),
        ];
        if (request.Guide is not { } guide)
            return candidates[0];
        return candidates
            .Select(candidate => (candidate, trial: guide.Try(candidate)))
            .Where(tried => tried.trial.IsAccepted)
            .OrderByDescending(tried => Math.Floor(tried.trial.Overlap / AlikeOverlap + 1e-6))
            .ThenBy(tried => tried.trial.Handling, Comparer<MoveCost>.Default)
            .Select(tried => tried.candidate)
            .FirstOrDefault();
    }

    private static IReadOnlyList<Tile> Tiles(IReadOnlyList<Laid> laid) => [.. laid.OrderBy(tile => tile.Y).ThenBy(tile => tile.X).Select(tile => tile.ToTile())];

    // As few tiles at the widest overlap that they allow, by halving.
    private static IReadOnlyList<Laid> Widest(Designer designer, IReadOnlyList<Laid> tiles, double asked, out double reached)
    {
        IReadOnlyList<Laid> widest = tiles;
        reached = asked;
        double most = tiles.Min(tile => tile.Station.Held.ShortSide) + asked;
        while (most - reached > AlikeOverlap / 4)
        {
            double middle = (reached + most) / 2;
            if (designer.Cover(middle, tiles.Count) is { } found)
                (reached, widest) = (middle, found);
            else
                most = middle;
        }
        return widest;
    }
}
