using System.Globalization;
using Imbrex.Sdk;

namespace Imbrex.Cli.Arguments;

/// <summary>Numbers as typed: decimal point, finite.</summary>
internal static class NumberText
{
    public static double Finite(string text, string option)
    {
        // Thousands signs are not allowed: a decimal comma would be read as one.
        if (!double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) || !double.IsFinite(value))
            throw new InputException($"{option} is '{text}', which is not a finite number.", option, "Give a number with a decimal point, such as 4.5.");
        return value;
    }

    public static double NotNegative(string text, string option)
    {
        double value = Finite(text, option);
        return value >= 0 ? value : throw new InputException($"{option} is {text}.", option, "It cannot be negative: give 0 or more.");
    }

    public static double Positive(string text, string option)
    {
        double value = Finite(text, option);
        return value > 0 ? value : throw new InputException($"{option} is {text}.", option, "Give a number greater than 0.");
    }
}
