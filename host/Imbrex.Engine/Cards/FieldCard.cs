using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;

namespace Imbrex.Engine.Cards;

/// <summary>The card for the field: all its words and its drawing, for paper and screen alike.</summary>
public sealed record FieldCard
{
    public required string Title { get; init; }

    /// <summary>What the drawing and the words left and right go by.</summary>
    public required string Viewpoint { get; init; }

    /// <summary>The plan that the drawing shows.</summary>
    public required PlanDocument Plan { get; init; }

    /// <summary>Heads of the table's columns, in the order of <see cref="CardRow.Cells"/>.</summary>
    public required IReadOnlyList<string> Columns { get; init; }
    public required IReadOnlyList<CardRow> Rows { get; init; }

    /// <summary>What the signs in the table mean; empty where there are none.</summary>
    public required string Footnote { get; init; }
    public required IReadOnlyList<CardSection> Sections { get; init; }

    /// <summary>The card of an accepted plan.</summary>
    public static FieldCard Of(PlanDocument plan, VerdictDocument verdict)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(verdict);
        var table = new CardTable(plan);
        int frames = plan.Tiles.Count;
        string name = plan.Name is { Length: > 0 } given ? $"{CardWords.Printable(given)}: " : "";
        return new()
        {
            Title = FormattableString.Invariant($"{name}{frames} {(frames == 1 ? "frame" : "frames")} for {Lengths.Text(plan.Format.ToSize())}"),
            Viewpoint = "Seen from behind the camera, where you stand: left and right are yours. The scene stands upside down here.",
            Plan = plan,
            Columns = CardTable.Columns(plan, verdict.Handling?.Axes),
            Rows = table.Rows,
            Footnote = table.Footnote,
            Sections = CardWords.Sections(plan, verdict),
        };
    }
}

/// <summary>A row of the table.</summary>
public sealed record CardRow
{
    /// <summary>What to change on the back before this frame; null for nothing but the slides.</summary>
    public string? Before { get; init; }

    /// <summary>Frame number, tile, what to dial in, how the back sits, where the body's top points, the part of the scene. A box to tick and room for the file number follow.</summary>
    public required IReadOnlyList<string> Cells { get; init; }
}

/// <summary>A heading and what stands below it.</summary>
public sealed record CardSection(string Heading, IReadOnlyList<string> Lines);

/// <summary>A drawing with its own corner and size, mm.</summary>
public sealed record Drawing(double WidthMm, double HeightMm, IReadOnlyList<Mark> Marks);
