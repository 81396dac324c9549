using Imbrex.Plugins.Layouts.Fewest;
using Imbrex.Sdk;
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
/// tiles, or parts collide, so that the rules refuse as few, tiles that all stand alike are tried and more overlap is asked for until they accept, which is no proof. A back that turns the sensor as it moves it is asked for its stops.
/// </remarks>
public sealed class FewestFrames : IMosaicLayout
{
    private const string Turns = "turns";
    private const string Any = "any";
    private const string Level = "level";
    private const string Upright = "upright";

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
        IDesigner designer = For(request, allowed);
        double asked = request.Format.ShortSide < request.Overlap ? 0 : request.Overlap;
        double most = request.UsableTile(Turn.None).ShortSide;
        Design design = designer.Find(asked);
        if (Best(request, designer, design, asked, most) is { } best)
        {
            Say(request, best.Count, design.IsFewest, design.AtLeast);
            return best;
        }
        IReadOnlyList<Tile>? alike = allowed == Any ? OfOneTurn(request, asked, most) : null;
        for (double more = asked; (more += Growth * request.Sensor.ShortSide) < Math.Min(most, request.Format.ShortSide);)
        {
            if (Try(designer, more) is not { } wider)
                continue;
            if (wider.Frames >= alike?.Count)
                break;
            if (Best(request, designer, wider, more, most) is { } found)
                return Said(found);
        }
        if (alike is not null)
            return Said(alike);

        // Nothing does: the host says of this one why.
        return design.Arrangements[^1];

        IReadOnlyList<Tile> Said(IReadOnlyList<Tile> tiles)
        {
            Say(request, tiles.Count, design.IsFewest && tiles.Count == design.Frames, design.AtLeast);
            return tiles;
        }
    }

    private static IDesigner For(LayoutRequest request, string allowed)
    {
        return request.Guide?.Back is { } back && !Stations.AreParallel(back) ? new TurningDesigner(request, back, Allows) : new ParallelDesigner(request, Allows);

        bool Allows(Turn turn) => allowed == Any || allowed == Upright == turn is Turn.Quarter or Turn.ThreeQuarters;
    }

    // Where the rules refuse the mixture, as where the turned body collides, tiles that all stand alike may do.
    private static IReadOnlyList<Tile>? OfOneTurn(LayoutRequest request, double asked, double most) => new[] { Level, Upright }
        .Select(allowed => For(request, allowed))
        .Select(designer => Try(designer, asked) is { } design ? Best(request, designer, design, asked, most) : null)
        .OfType<IReadOnlyList<Tile>>()
        .MinBy(tiles => tiles.Count);

    // With more overlap than was asked for, or one turn only, the back may reach no cover.
    private static Design? Try(IDesigner designer, double overlap)
    {
        try
        {
            return designer.Find(overlap);
        }
        catch (RefusalException)
        {
            return null;
        }
    }

    private static void Say(LayoutRequest request, int frames, bool isFewest, int atLeast) => request.Guide?.Note(frames == 1 ? "One frame is enough."
        : isFewest || frames == atLeast ? Invariant($"{frames} frames are proven the fewest: tiles within the back's reach cannot do with {frames - 1}.")
        : Invariant($"{frames} frames are the fewest found; it is not proven that fewer cannot do{(atLeast > 1 ? Invariant($", but fewer than {atLeast} cannot") : "")}."));

    // The arrangement of as many frames that overlaps most and asks least handling, among what the rules accept; null where they accept none.
    private static IReadOnlyList<Tile>? Best(LayoutRequest request, IDesigner designer, Design design, double asked, double most)
    {
        IReadOnlyList<Tile>[] candidates = [.. design.Arrangements, .. Widest(designer, design.Frames, asked, most)];
        return request.Guide is not { } guide ? candidates[0] : candidates
            .Select(candidate => (candidate, trial: guide.Try(candidate)))
            .Where(tried => tried.trial.IsAccepted)
            .OrderByDescending(tried => Math.Floor(tried.trial.Overlap / AlikeOverlap + 1e-6))
            .ThenBy(tried => tried.trial.Handling, Comparer<MoveCost>.Default)
            .Select(tried => tried.candidate)
            .FirstOrDefault();
    }

    // As few tiles at the widest overlap that they allow, by halving; none where they allow no more than was asked for.
    private static IEnumerable<IReadOnlyList<Tile>> Widest(IDesigner designer, int frames, double asked, double most)
    {
        IReadOnlyList<Tile>? widest = null;
        while (most - asked > AlikeOverlap / 4)
        {
            double middle = (asked + most) / 2;
            if (designer.Cover(middle, frames) is { } found)
                (asked, widest) = (middle, found);
            else
                most = middle;
        }
        return widest is null ? [] : [widest];
    }
}
