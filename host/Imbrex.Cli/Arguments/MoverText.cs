using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Cli.Arguments;

/// <summary>
/// Something that moves, as typed: a known word or <c>WIDTH@SPEED</c> (m and m/s), with, after commas, <c>at=DISTANCE</c> and
/// <c>per-minute=NUMBER</c>: <c>walkers,at=20m,per-minute=6</c> or <c>0.5@1.4</c>.
/// </summary>
internal static class MoverText
{
    public static MoverPart Parse(string text, string option)
    {
        string[] parts = text.Split(',');
        MoverPart mover = Thing(parts[0], option);
        foreach ((string name, string value) in NameValueText.Parse(parts.Skip(1), option))
        {
            mover = name switch
            {
                "at" => mover with { DistanceMm = Finite(DistanceText.Parse(value, option), option) },
                "per-minute" => mover with { PerMinute = NumberText.NotNegative(value, option) },
                _ => throw new InputException($"'{name}' is nothing that a mover has.", option, NearestWord.Suggest(name, ["at", "per-minute"]) ?? "Known are at=20m and per-minute=6."),
            };
        }
        return mover;
    }

    private static MoverPart Thing(string text, string option)
    {
        if (LensCatalogue.Movers.FirstOrDefault(known => known.Name == text) is { } mover)
            return mover;
        string[] numbers = text.Split('@');
        if (numbers.Length == 2)
            return new() { Name = text, WidthMm = 1000 * NumberText.Positive(numbers[0], option), SpeedMmPerS = 1000 * NumberText.Positive(numbers[1], option) };
        string[] names = [.. LensCatalogue.Movers.Select(known => known.Name)];
        throw new InputException($"{option} is '{text}', which is nothing known that moves.", option,
            NearestWord.Suggest(text, names) ?? $"Known are {string.Join(", ", names)}; or give width and speed in m and m/s, such as 0.5@1.4.");
    }

    private static double Finite(double distance, string option) =>
        double.IsFinite(distance) ? distance : throw new InputException("What moves cannot be infinitely far away.", option, "Give its distance, such as at=20m.");
}
