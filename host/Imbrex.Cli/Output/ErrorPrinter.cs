using Imbrex.Cli.Commands;
using Imbrex.Engine.Delivery;
using Imbrex.Sdk;
using Spectre.Console;

namespace Imbrex.Cli.Output;

/// <summary>Puts what went wrong into words: what, where, what to do.</summary>
internal static class ErrorPrinter
{
    /// <summary>The exit code for an exception, and what to tell the user.</summary>
    public static (int ExitCode, Finding Finding) Explain(Exception exception) => exception switch
    {
        ImbrexException e => (e.ExitCode, new(e is RefusalException ? "refused" : "bad-input", "error", e.Message) { Where = e.Where, Remedy = e.Remedy }),
        LeftBehindException e => (ExitCodes.Cancelled, new("left-behind", "error", e.Message) { Where = e.Folder, Remedy = "Tell its author that it must hear a cancellation; remove the folder if it is still there." }),
        OperationCanceledException { InnerException: LeftBehindException inner } => Explain(inner),
        OperationCanceledException => (ExitCodes.Cancelled, new("cancelled", "error", "Cancelled; nothing half-written is left.")),
        // Work on several threads: what the user can mend comes before what followed from it.
        AggregateException { InnerExceptions: [Exception first, ..] } e => Explain(e.InnerExceptions.FirstOrDefault(inner => inner is ImbrexException) ?? first),
        IOException or UnauthorizedAccessException => (ExitCodes.BadInput, new("input-output", "error", FirstLine(exception.Message))
        {
            Remedy = "Check the path, your rights to it, and the free space on the disk.",
        }),
        _ => (ExitCodes.InternalError, new("internal", "error", $"Internal error: {exception.GetType().Name}: {FirstLine(exception.Message)}")
        {
            Remedy = "This is a fault of the program. Run the same command with --debug and report what it prints.",
        }),
    };

    public static void Print(IAnsiConsole console, Finding finding)
    {
        Color colour = finding.Severity switch
        {
            "error" => Color.Red,
            "warning" => Color.Yellow,
            _ => Color.Blue,
        };
        console.Write(new Text(finding.Severity + ": ", new Style(colour)));
        // Past the console's own wrapping, which would maul file names and script lines.
        console.Profile.Out.Writer.WriteLine(PlainText.Of(finding.Message));
        if (finding.Where is { } where)
            console.Profile.Out.Writer.WriteLine(PlainText.Of($"  at: {where}"));
        if (finding.Remedy is { } remedy)
            console.Profile.Out.Writer.WriteLine(PlainText.Of($"  do: {remedy}"));
    }

    private static string FirstLine(string text) => text.Split('\n')[0].TrimEnd();
}
