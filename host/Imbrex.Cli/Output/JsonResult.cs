using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Imbrex.Cli.Commands;

namespace Imbrex.Cli.Output;

/// <summary>The object that <c>--json</c> prints, on failure too.</summary>
internal sealed record JsonResult(
    string Schema, string Verb, int ExitCode, string Verdict, IReadOnlyList<Finding> Findings, IReadOnlyList<string> Files, object? Data)
{
    public static JsonSerializerOptions Options { get; } = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        WriteIndented = true,
        NewLine = "\n",
    };

    public static JsonResult From(string verb, VerbResult result) => new(
        "imbrex/result/1", verb, result.ExitCode, result.Verdict ?? ExitCodes.Verdict(result.ExitCode), result.Findings, result.Files, result.Data);
}
