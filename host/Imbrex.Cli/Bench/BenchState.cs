using Imbrex.Engine.Planning;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Cli.Bench;

/// <summary>All that the page shows, as one object.</summary>
internal sealed record BenchState
{
    /// <summary>Counts up with every change; a heat map belongs to one number.</summary>
    public required int Number { get; init; }

    /// <summary>Name of the layout, or null as long as none could be opened.</summary>
    public string? Layout { get; init; }
    public string? Summary { get; init; }

    /// <summary>The script's path or the layout's name, as given.</summary>
    public required string Source { get; init; }
    public required IReadOnlyList<BenchParameter> Parameters { get; init; }

    /// <summary>What keeps the layout from being judged. Everything below is then as it was before.</summary>
    public BenchFault? Fault { get; init; }
    public VerdictDocument? Verdict { get; init; }

    /// <summary>The drawing as an SVG element; null where nothing could be drawn yet.</summary>
    public string? Drawing { get; init; }
    public required IReadOnlyList<BenchTile> Tiles { get; init; }

    /// <summary>Milliseconds from hearing of the change to this state.</summary>
    public double TookMs { get; init; }
}

/// <summary>A parameter with its value, as a slider or a list of words.</summary>
internal sealed record BenchParameter
{
    public required string Name { get; init; }
    public required string Summary { get; init; }
    public required string Unit { get; init; }

    /// <summary>What is legal, in words.</summary>
    public required string Range { get; init; }
    public required IReadOnlyList<string> Choices { get; init; }
    public required bool Whole { get; init; }
    public required string Value { get; init; }
    public required string Default { get; init; }

    /// <summary>Bounds of the slider: the legal ones, or where there are none a stretch around the default.</summary>
    public required double SliderFrom { get; init; }
    public required double SliderTo { get; init; }
    public required double SliderStep { get; init; }

    /// <summary>The legal bounds; null where there is none.</summary>
    public double? Minimum { get; init; }
    public double? Maximum { get; init; }

    public static BenchParameter Of(ParameterDefinition definition, string? given)
    {
        double low = double.IsFinite(definition.Minimum) ? definition.Minimum : definition.Default - Stretch(definition);
        bool bounded = double.IsFinite(definition.Maximum) && definition.Maximum < int.MaxValue;
        double high = bounded ? definition.Maximum : Math.Max(low, definition.Default) + Stretch(definition);
        return new()
        {
            Name = definition.Name,
            Summary = definition.Summary,
            Unit = definition.Unit.Sign(),
            Range = definition.Range(),
            Choices = definition.Choices,
            Whole = definition.IsWhole,
            Value = given ?? definition.Format(definition.Default),
            Default = definition.Format(definition.Default),
            SliderFrom = low,
            SliderTo = high,
            SliderStep = definition.IsWhole ? 1 : Step(high - low),
            Minimum = double.IsFinite(definition.Minimum) ? definition.Minimum : null,
            Maximum = bounded ? definition.Maximum : null,
        };
    }

    private static double Stretch(ParameterDefinition definition) => Math.Max(definition.IsWhole ? 12 : 50, 2 * Math.Abs(definition.Default));

    // A power of ten that gives at least a hundred steps, and no finer than a hundredth: that is what a back can be set to.
    private static double Step(double range) => Math.Max(0.01, Math.Pow(10, Math.Floor(Math.Log10(Math.Max(range, 1e-9) / 100))));
}

/// <summary>One tile for the table.</summary>
/// <param name="Number">Place in the shooting order.</param>
/// <param name="Id">Name.</param>
/// <param name="XMm">Centre, mm.</param>
/// <param name="YMm">Centre, mm.</param>
/// <param name="Turn">The body's turn and free rotation, degrees.</param>
/// <param name="Back"><c>upright</c>, <c>turned over</c>, or empty where no back is known.</param>
internal sealed record BenchTile(int Number, string Id, double XMm, double YMm, double Turn, string Back);

/// <summary>An error at its place.</summary>
/// <param name="Message">What is wrong.</param>
/// <param name="Remedy">What to do, or null.</param>
/// <param name="Place">File and line, or null.</param>
/// <param name="Lines">The lines of the script around it; empty where no line is known.</param>
internal sealed record BenchFault(string Message, string? Remedy, string? Place, IReadOnlyList<BenchLine> Lines);

/// <summary>A line of the script.</summary>
/// <param name="Number">Counted from 1.</param>
/// <param name="Text">What stands there.</param>
/// <param name="Faulty">Whether this is the line of the error.</param>
internal sealed record BenchLine(int Number, string Text, bool Faulty);
