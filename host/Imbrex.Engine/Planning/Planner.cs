using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Engine.Planning;

/// <summary>What is to be planned.</summary>
public sealed record PlanRequest
{
    public required IMosaicLayout Layout { get; init; }

    /// <summary>The layout's parameters as a person writes them.</summary>
    public IReadOnlyDictionary<string, string>? Parameters { get; init; }

    /// <summary>SHA-256 of the script, where the layout is one.</summary>
    public string? ScriptSha256 { get; init; }

    /// <summary>The kit, or null where <see cref="Sensor"/> stands instead.</summary>
    public KitDocument? Kit { get; init; }
    public SensorPart? Sensor { get; init; }

    /// <summary>The kit's back, or null where only a sensor is known.</summary>
    public BuiltBack? Back { get; init; }

    /// <summary>The rectangle to fill, mm.</summary>
    public required PlaneSize Format { get; init; }

    /// <summary>Overrules the kit's overlap, mm.</summary>
    public double? Overlap { get; init; }

    /// <summary>Overrules the back's positional tolerance, mm.</summary>
    public double? Tolerance { get; init; }

    /// <summary>Overrules the back's angular tolerance, degrees.</summary>
    public double? AngularTolerance { get; init; }

    public string? Name { get; init; }

    /// <summary>Focus, movements and exposure; null for infinity without movements.</summary>
    public PicturePart? Picture { get; init; }

    /// <summary>What the user should know of how the request came about.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];
}

/// <summary>A plan and what the rules say of it.</summary>
/// <param name="Plan">The tiles in shooting order; null where the layout itself refuses.</param>
/// <param name="Verdict">Accepted or refused, and why.</param>
public sealed record PlanResult(PlanDocument? Plan, VerdictDocument Verdict);

/// <summary>From kit, layout and format to a plan in shooting order and a verdict on it.</summary>
public static class Planner
{
    /// <summary>Plans. A refusal is a verdict, not an exception.</summary>
    /// <exception cref="InputException">A parameter, size or tolerance makes no sense, or the layout places tiles that make none.</exception>
    public static PlanResult Plan(PlanRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        ISensor sensor = (ISensor?)request.Kit?.Body ?? request.Sensor ?? throw new InputException("There is neither a kit nor a sensor.", "kit", "Give a kit.");
        CheckRequest check = Frame(request, sensor);
        ParameterValues parameters = ParameterValues.Bind(request.Layout.Description.Parameters, request.Parameters);
        try
        {
            var guide = new LayoutGuide(check);
            check = check with { Tiles = PlacedTile.Named(Arrange(request, check, parameters, guide)), Notes = [.. check.Notes, .. guide.Notes] };
        }
        catch (RefusalException refusal)
        {
            return new(null, RefusedByLayout(check, refusal));
        }
        RequestCheck.Validate(check);
        Shoot shoot = Shoot.Plan(check);
        VerdictDocument verdict = AcceptanceCheck.Judge(check with { Tiles = shoot.Tiles, Notes = [.. check.Notes, .. shoot.Notes] });
        return new(Document(Settled(request, verdict), check.Overlap, parameters, shoot.Tiles), verdict with { Handling = shoot.Handling });
    }

    private static CheckRequest Frame(PlanRequest request, ISensor sensor)
    {
        IBack? back = request.Back?.Back;
        Margins margins = back is null ? Margins.Unknown : new(back.PositionTolerance, back.AngularTolerance);
        var check = new CheckRequest
        {
            Tiles = [],
            Sensor = sensor.Size(),
            Format = request.Format,
            Overlap = request.Overlap ?? request.Kit?.OverlapMm ?? 0.1 * sensor.Size().ShortSide,
            Margins = new(request.Tolerance is { } both ? both : margins.Position, request.AngularTolerance ?? margins.Angle),
            Back = back,
            Kit = request.Kit,
            Picture = request.Picture,
            Notes = [.. request.Notes, .. request.Back?.Notes ?? []],
        };
        RequestCheck.Size(check.Sensor, "sensor");
        RequestCheck.Size(check.Format, "format");
        RequestCheck.NotNegative(check.Overlap, "overlap", "mm");
        RequestCheck.Tolerances(check.Margins);
        return check;
    }

    private static IReadOnlyList<Tile> Arrange(PlanRequest request, CheckRequest check, ParameterValues parameters, ILayoutGuide guide) => request.Layout.Arrange(new()
    {
        Sensor = check.Sensor,
        Format = check.Format,
        Overlap = check.Overlap,
        PositionTolerance = check.Margins.Position,
        AngularTolerance = check.Margins.Angle,
        Limits = check.Back?.Limits ?? BackLimits.Unlimited,
        Parameters = parameters,
        Guide = guide,
    });

    private static VerdictDocument RefusedByLayout(CheckRequest check, RefusalException refusal)
    {
        PlaneSize usable = check.Margins.Usable(check.Sensor);
        RemedyPart[] remedies =
        [
            .. refusal.Remedy is { } remedy ? [new() { Kind = "layout", Text = remedy }] : Array.Empty<RemedyPart>(),
            .. GridThatDoes.Find(check, UsableTiles.For(check)) is { } grid ? [grid] : Array.Empty<RemedyPart>(),
        ];
        return new()
        {
            Schema = VerdictDocument.SchemaName,
            Accepted = false,
            Summary = $"Refused (layout): {refusal.Message}",
            Frames = 0,
            Format = SizePart.From(check.Format),
            OverlapMm = check.Overlap,
            ToleranceMm = check.Margins.Position.Worst,
            ToleranceAlongMm = VerdictDocument.Along(check.Margins),
            AngularToleranceDeg = check.Margins.Angle,
            UsableTileMm = [Math.Max(0, usable.Width), Math.Max(0, usable.Height)],
            Rules = [new() { Rule = "layout", Outcome = RulePart.Failed, Text = refusal.Message }],
            Failures = [new() { Rule = "layout", Text = refusal.Message, Tiles = [] }],
            Remedies = remedies,
            Notes = check.Notes,
        };
    }

    // Where a mount that slides is clamped belongs to the picture.
    private static PlanRequest Settled(PlanRequest request, VerdictDocument verdict) => verdict.MountDepthMm is { } depth
        ? request with { Picture = (request.Picture ?? new()) with { MountDepthMm = depth } }
        : request;

    private static PlanDocument Document(PlanRequest request, double overlap, ParameterValues parameters, IReadOnlyList<PlacedTile> tiles) => new()
    {
        Schema = PlanDocument.SchemaName,
        Name = request.Name,
        Kit = request.Kit,
        Sensor = request.Kit is null ? request.Sensor : null,
        Format = SizePart.From(request.Format),
        OverlapMm = overlap,
        Layout = new() { Name = request.Layout.Description.Name, Parameters = parameters.ToText(), ScriptSha256 = request.ScriptSha256 },
        Picture = request.Picture,
        Tiles = [.. tiles.Select(Part)],
    };

    private static TilePart Part(PlacedTile tile) => new()
    {
        Id = tile.Id,
        XMm = tile.Pose.Centre.X,
        YMm = tile.Pose.Centre.Y,
        TurnDeg = tile.Pose.Turn.Degrees(),
        RotationDeg = tile.Pose.Rotation == 0 ? null : Angles.Wrap(tile.Pose.Rotation),
        BackTurned = tile.Setting?.BackTurned is true ? true : null,
        Setting = tile.Setting is { } setting ? SettingPart.From(setting) : null,
    };
}
