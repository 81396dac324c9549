using Imbrex.Sdk;

namespace Imbrex.Engine.Cards;

/// <summary>A size of paper, standing, mm.</summary>
public sealed record Paper(string Name, double WidthMm, double HeightMm)
{
    /// <summary>ISO 216.</summary>
    public static Paper A5 { get; } = new("a5", 148, 210);

    /// <summary>Half of a US letter sheet (ANSI/ASME Y14.1 size A, 8.5 x 11 inches): 5.5 x 8.5 inches.</summary>
    public static Paper HalfLetter { get; } = new("half-letter", 139.7, 215.9);

    /// <summary>The papers that a card can be made for.</summary>
    public static IReadOnlyList<Paper> ForCards { get; } = [A5, HalfLetter];

    /// <summary>The larger sheets of the same family, smallest first, for drawings at full size.</summary>
    public IReadOnlyList<Paper> Larger => this == HalfLetter
        ? [new("letter", 215.9, 279.4), new("tabloid", 279.4, 431.8), new("ANSI C", 431.8, 558.8)]
        : [new("A4", 210, 297), new("A3", 297, 420), new("A2", 420, 594)];

    /// <summary>The paper lying on its long side.</summary>
    public Paper Lying => this with { WidthMm = Math.Max(WidthMm, HeightMm), HeightMm = Math.Min(WidthMm, HeightMm) };

    /// <summary>The card's paper of a name.</summary>
    /// <exception cref="InputException">There is none.</exception>
    public static Paper Named(string name) => ForCards.FirstOrDefault(paper => paper.Name == name)
        ?? throw new InputException($"There is no paper \"{name}\".", "--paper", $"Choose {string.Join(" or ", ForCards.Select(paper => paper.Name))}.");
}

/// <summary>A printed sheet: its size and what is drawn on it.</summary>
public sealed record Sheet(Paper Paper, IReadOnlyList<Mark> Marks);
