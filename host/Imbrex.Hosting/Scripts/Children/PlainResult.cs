using System.Globalization;
using System.Text;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// What a script may hand back: finite numbers, few and short texts, nothing that a terminal or a page would obey. Looked at in the child,
/// where the script's own line is known, and again in the program, which believes no child.
/// </summary>
internal static class PlainResult
{
    public const int LongestName = 64;
    public const int LongestSummary = 200;
    public const int LongestMessage = 1000;
    public const int MostParameters = 64;

    /// <summary>No image plane is a kilometre wide, mm.</summary>
    public const double FarthestTile = 1e6;

    /// <summary>The result with its texts made plain.</summary>
    /// <exception cref="InputException">It is more, larger or wilder than a layout may be.</exception>
    public static LayoutScriptResult Checked(LayoutScriptResult result, bool isProbe)
    {
        PartDescription description = Checked(result.Description, "layout");
        if (result.Tiles.Count > LayoutScript.MaximumTiles || (result.Tiles.Count == 0 && !isProbe))
            throw new InputException($"The script places {result.Tiles.Count} tiles.", "Tile", $"Place at least one and at most {LayoutScript.MaximumTiles}.");
        return new(description, [.. result.Tiles.Select(Checked)]);
    }

    /// <summary>A description with its texts made plain.</summary>
    /// <param name="description">The description.</param>
    /// <param name="part">What it describes: <c>layout</c> or <c>adapter</c>.</param>
    /// <exception cref="InputException">A text is too long, or there are too many parameters.</exception>
    public static PartDescription Checked(PartDescription description, string part)
    {
        if (description.Name.Length > LongestName)
            throw new InputException($"The {part}'s name has {description.Name.Length} letters; {LongestName} are the most.", "Name", "Give it a shorter name.");
        if (description.Summary.Length > LongestSummary)
            throw new InputException($"The {part}'s summary has {description.Summary.Length} letters; {LongestSummary} are the most.", "Summary", "Say it in one line.");
        if (description.Parameters.Count > MostParameters)
            throw new InputException($"The script declares {description.Parameters.Count} parameters; {MostParameters} are the most.", "Parameter", "Declare fewer.");
        return new(description.Name, Summary(description.Summary, part), [.. description.Parameters.Select(Checked)]);
    }

    /// <summary>Text without control, direction and other invisible characters, and no longer than it may be.</summary>
    /// <param name="text">Any text.</param>
    /// <param name="longest">Most letters.</param>
    /// <param name="lines">Whether line ends stay.</param>
    public static string Text(string text, int longest, bool lines = false)
    {
        var plain = new StringBuilder(Math.Min(text.Length, longest) + 1);
        foreach (Rune letter in text.EnumerateRunes())
        {
            if (plain.Length >= longest)
            {
                plain.Append('…');
                break;
            }
            // What the engine calls visible text; its assembly is none that a child behind walls may read.
            if (lines && letter.Value == '\n')
                plain.Append('\n');
            else if (Rune.GetUnicodeCategory(letter) is not (UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator
                or UnicodeCategory.PrivateUse or UnicodeCategory.OtherNotAssigned or UnicodeCategory.Surrogate))
            {
                plain.Append(letter.ToString());
            }
        }
        return plain.ToString();
    }

    private static string Summary(string text, string part) => Text(text, LongestSummary) is var plain && string.IsNullOrWhiteSpace(plain) ? $"{(part == "layout" ? "A" : "An")} {part} script" : plain;

    private static ParameterDefinition Checked(ParameterDefinition parameter)
    {
        if (parameter.Name.Length > LongestName)
            throw new InputException("A parameter's name is too long.", "Parameter", $"{LongestName} letters are the most.");
        string summary = Text(parameter.Summary, LongestSummary);
        return parameter.IsWhole
            ? ParameterDefinition.Count(parameter.Name, summary, (int)parameter.Default, (int)parameter.Minimum, (int)parameter.Maximum)
            : ParameterDefinition.Number(parameter.Name, summary, parameter.Default, Known(parameter.Unit), parameter.Minimum, parameter.Maximum);
    }

    private static Unit Known(Unit unit) => Enum.IsDefined(unit) ? unit : throw new InputException($"A parameter has the unit {(int)unit}.", "Parameter", "Use a unit of the SDK.");

    private static Tile Checked(Tile tile)
    {
        SensorPose pose = tile.Pose;
        if (!(Math.Abs(pose.Centre.X) <= FarthestTile && Math.Abs(pose.Centre.Y) <= FarthestTile && double.IsFinite(pose.Rotation)) || !Enum.IsDefined(pose.Turn))
            throw new InputException("A tile has no place on the image plane.", "Tile", "Look for a division by zero.");
        if (tile.Id is { Length: > LongestName })
            throw new InputException($"A tile's name has {tile.Id.Length} letters; {LongestName} are the most.", "Tile", "Give it a shorter name.");
        return tile.Id is null ? tile : tile with { Id = Text(tile.Id, LongestName) };
    }
}
