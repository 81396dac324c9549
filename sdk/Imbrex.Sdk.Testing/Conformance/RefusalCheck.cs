namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>A refusal is read by a person: it says what fails and what would work.</summary>
internal static class RefusalCheck
{
    public static void Check(ImbrexException refusal, bool needsNumber, string with, FindingList findings)
    {
        findings.Require(!string.IsNullOrWhiteSpace(refusal.Message) && !string.IsNullOrWhiteSpace(refusal.Remedy), ConformanceRule.RefusalSaysWhatToDo,
            $"The refusal '{refusal.Message}' does not say what to do.", with, "Give the exception its third part: the nearest thing that would work.");
        findings.Require(!needsNumber || (refusal.Message + refusal.Where).Any(char.IsAsciiDigit), ConformanceRule.RefusalSaysWhatToDo, $"The refusal '{refusal.Message}' names no number.", with,
            "Say which number fails, and by how much.");
    }
}
