using Imbrex.Engine.Series;

namespace Imbrex.Engine.Merging;

/// <summary>The words that stand for a merge's rules in files and on the command line.</summary>
public static class MergeWords
{
    private static readonly Dictionary<string, HoleRule> HoleRules = new(StringComparer.Ordinal) { ["transparent"] = HoleRule.Transparent, ["refuse"] = HoleRule.Refuse };

    private static readonly Dictionary<string, CropRule> CropRules = new(StringComparer.Ordinal)
    {
        ["format"] = CropRule.Format,
        ["full"] = CropRule.Full,
        ["all"] = CropRule.All,
    };

    private static readonly Dictionary<string, SeriesRule> SeriesRules = new(StringComparer.Ordinal)
    {
        ["by-content"] = SeriesRule.ByContent,
        ["median"] = SeriesRule.Median,
        ["mean"] = SeriesRule.Mean,
        ["brackets"] = SeriesRule.Brackets,
    };

    private static readonly Dictionary<string, FalloffRule> FalloffRules = new(StringComparer.Ordinal) { ["keep"] = FalloffRule.Keep, ["remove"] = FalloffRule.Remove };

    /// <summary>The word of a rule.</summary>
    public static string Of(HoleRule rule) => Word(HoleRules, rule);

    /// <inheritdoc cref="Of(HoleRule)"/>
    public static string Of(CropRule rule) => Word(CropRules, rule);

    /// <inheritdoc cref="Of(HoleRule)"/>
    public static string Of(SeriesRule rule) => Word(SeriesRules, rule);

    /// <inheritdoc cref="Of(HoleRule)"/>
    public static string Of(FalloffRule rule) => Word(FalloffRules, rule);

    /// <summary>The rule of a word.</summary>
    /// <param name="word">The word, or null for the first rule.</param>
    /// <param name="where">The option or member that holds it.</param>
    /// <exception cref="Sdk.InputException">There is no such word.</exception>
    public static HoleRule Holes(string? word, string where) => Rule(HoleRules, word, where);

    /// <inheritdoc cref="Holes"/>
    public static CropRule Crop(string? word, string where) => Rule(CropRules, word, where);

    /// <inheritdoc cref="Holes"/>
    public static SeriesRule Series(string? word, string where) => Rule(SeriesRules, word, where);

    /// <inheritdoc cref="Holes"/>
    public static FalloffRule Falloff(string? word, string where) => Rule(FalloffRules, word, where);

    private static string Word<T>(Dictionary<string, T> words, T rule) where T : struct, Enum => words.Single(pair => pair.Value.Equals(rule)).Key;

    private static T Rule<T>(Dictionary<string, T> words, string? word, string where) where T : struct, Enum =>
        word is null ? default
        : words.TryGetValue(word, out T rule) ? rule
        : throw new Sdk.InputException($"There is no rule \"{word}\".", where, $"Give one of {string.Join(", ", words.Keys)}.");

    /// <summary>What light frames are called, to begin a sentence with.</summary>
    public const string FlatFrame = "The flat frame", DarkFrame = "The dark frame";

    /// <summary>What a tile's frame is called, to begin a sentence with.</summary>
    public static string FrameOf(string tile) => $"The frame of tile {tile}";
}
