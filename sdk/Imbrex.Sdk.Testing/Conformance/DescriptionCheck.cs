using System.Text.RegularExpressions;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>What holds for parts of every kind: how they are made, and what they say of themselves.</summary>
internal static partial class DescriptionCheck
{
    private const int LongestSummary = 120;

    /// <summary>Checks the part's class and its description.</summary>
    /// <returns>The description, or null where there is none to go on with.</returns>
    public static PartDescription? Check(object part, Func<PartDescription> read, FindingList findings)
    {
        Type type = part.GetType();
        findings.Require(type.IsVisible && type.GetConstructor([]) is not null, ConformanceRule.Constructible, $"{type.FullName} is not a public class with a public constructor without parameters.",
            type.FullName ?? type.Name, "Make the class and such a constructor public: the host finds and makes parts by them.");
        PartDescription? description = Read(read, type, findings);
        if (description is not null)
            Check(description, findings);
        return description;
    }

    private static PartDescription? Read(Func<PartDescription> read, Type type, FindingList findings)
    {
        if (Call.Caught(read) is not Outcome<PartDescription>.Result { Value: { } first })
        {
            findings.Add(ConformanceRule.DescriptionIsSane, "The description throws or is null.", type.Name, "Make it once, as a property with an initial value.");
            return null;
        }
        PartDescription second = read();
        bool same = second is not null && first.Name == second.Name && first.Summary == second.Summary && first.Parameters.SequenceEqual(second.Parameters);
        findings.Require(same, ConformanceRule.DescriptionIsSane, "The description is another one when it is asked for again.", first.Name, "Make it once, as a property with an initial value.");
        return first;
    }

    private static void Check(PartDescription description, FindingList findings)
    {
        CheckSummary(description.Summary, description.Name, findings);
        foreach (ParameterDefinition parameter in description.Parameters)
        {
            string with = $"{description.Name}, parameter {parameter.Name}";
            CheckSummary(parameter.Summary, with, findings);
            findings.Require(Enum.IsDefined(parameter.Unit), ConformanceRule.ParameterHasItsUnit, $"The unit {(int)parameter.Unit} is none.", with, "Use a member of Unit.");
            if (parameter.Choices.Count > 0)
                continue;
            bool ends = double.IsFinite(parameter.Minimum) && (parameter.IsWhole ? parameter.Maximum < int.MaxValue : double.IsFinite(parameter.Maximum));
            findings.Require(ends, ConformanceRule.ParameterHasARange, $"{parameter.Name} is {parameter.Range()}, without an end.", with, "Give the smallest and the largest value that make sense.");
            bool lacks = parameter.Unit == Unit.None && UnitWord().Match(parameter.Summary) is { Success: true };
            findings.Require(!lacks, ConformanceRule.ParameterHasItsUnit, $"{parameter.Name} speaks of '{UnitWord().Match(parameter.Summary).Value}' and declares no unit.", with,
                "Declare the unit: help, cards and the bench write it behind the number.");
        }
    }

    private static void CheckSummary(string summary, string with, FindingList findings)
    {
        string? wrong = string.IsNullOrWhiteSpace(summary) ? "is empty"
            : summary.Any(char.IsControl) ? "has more than one line"
            : summary.EndsWith('.') ? "ends with a full stop"
            : summary.Length > LongestSummary ? $"has {summary.Length} characters"
            : null;
        findings.Require(wrong is null, ConformanceRule.DescriptionIsSane, $"The summary {wrong}.", with, $"Write one line of at most {LongestSummary} characters without a full stop.");
    }

    [GeneratedRegex(@"\b(mm|millimetres?|degrees?|deg|distance|angle|length|width|height|offset|seconds?|percent|pixels?|px|stops)\b|%", RegexOptions.IgnoreCase)]
    private static partial Regex UnitWord();
}
