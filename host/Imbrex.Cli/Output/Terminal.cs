using System.Text;
using System.Text.Json;
using Imbrex.Cli.Commands;
using Imbrex.Engine;
using Spectre.Console;

namespace Imbrex.Cli.Output;

/// <summary>Where the program speaks: results on stdout, everything else on stderr; words for people or one object for machines.</summary>
internal sealed class Terminal : IDisposable
{
    // Wide enough that tables in a pipe do not wrap.
    private const int PipeWidth = 160;

    private readonly bool _debug;
    private readonly ProgressLine _progress;
    private readonly Lazy<IAnsiConsole> _tables;
    private readonly Lazy<IAnsiConsole> _diagnostics;
    private bool _told;

    public Terminal(bool json, bool debug)
    {
        (Json, _debug) = (json, debug);
        bool colour = string.IsNullOrEmpty(Environment.GetEnvironmentVariable("NO_COLOR"));
        Out = Console.Out;
        Error = Console.Error;
        _tables = new(() => Ansi(Out, colour, Console.IsOutputRedirected));
        _diagnostics = new(() => Ansi(Error, colour, Console.IsErrorRedirected));
        _progress = new(Error, live: !Console.IsErrorRedirected && Environment.GetEnvironmentVariable("TERM") != "dumb");
    }

    /// <summary>Whether stdout belongs to a machine. Verbs then print nothing themselves.</summary>
    public bool Json { get; }

    public TextWriter Out { get; }

    public TextWriter Error { get; }

    /// <summary>Tables and text for people, on stdout.</summary>
    public IAnsiConsole Tables => _tables.Value;

    /// <summary>Coloured text on stderr.</summary>
    public IAnsiConsole Diagnostics => _diagnostics.Value;

    /// <summary>How far long work is, on stderr.</summary>
    public IProgress<StageProgress> Progress => _progress;

    /// <summary>A line for people on stdout; nothing with <c>--json</c>.</summary>
    public void Say(string line)
    {
        _progress.Clear();
        if (!Json)
            Out.WriteLine(PlainText.Of(line));
    }

    /// <summary>Rows of text in columns for people on stdout, between empty lines; nothing with <c>--json</c>.</summary>
    public void SayColumns(IReadOnlyList<string[]> rows) => Say("\n" + Columns.Lay(rows, Console.IsOutputRedirected ? PipeWidth : Console.WindowWidth));

    /// <summary>A line on stderr.</summary>
    public void Note(string line)
    {
        _progress.Clear();
        Error.WriteLine(PlainText.Of(line));
    }

    /// <summary>
    /// Tells the result of a verb that goes on until it is stopped. There is one object on stdout: what comes at the end is told in words and by the exit code.
    /// </summary>
    public void Begin(string verb, VerbResult result)
    {
        if (Json)
            WriteJson(verb, result);
        Out.Flush();
        _told = true;
    }

    /// <summary>Tells the result of a verb and returns the exit code.</summary>
    public int Finish(string verb, VerbResult result)
    {
        _progress.Clear();
        if (Json && !_told)
            WriteJson(verb, result);
        else
            Array.ForEach([.. result.Findings], finding => ErrorPrinter.Print(Diagnostics, finding));
        return result.ExitCode;
    }

    /// <summary>Tells what ended a verb and returns the exit code.</summary>
    public int Failure(string verb, Exception exception)
    {
        _progress.Clear();
        (int code, Finding finding) = ErrorPrinter.Explain(exception);
        ErrorPrinter.Print(Diagnostics, finding);
        if (_debug)
            Error.WriteLine(exception);
        if (Json && !_told)
            WriteJson(verb, new(code) { Findings = [finding] });
        return code;
    }

    public void Dispose() => _progress.Clear();

    private void WriteJson(string verb, VerbResult result) =>
        Out.WriteLine(JsonSerializer.Serialize(JsonResult.From(verb, result), JsonResult.Options));

    private static IAnsiConsole Ansi(TextWriter writer, bool colour, bool redirected) =>
        AnsiConsole.Create(new AnsiConsoleSettings
        {
            Ansi = redirected || !colour ? AnsiSupport.No : AnsiSupport.Detect,
            ColorSystem = redirected || !colour ? ColorSystemSupport.NoColors : ColorSystemSupport.Detect,
            Interactive = InteractionSupport.No,
            Out = redirected ? new Pipe(writer) : new AnsiConsoleOutput(writer),
        });

    /// <summary>A console's output that is none: nobody asks the terminal for its width, which takes longer than to write a table.</summary>
    private sealed class Pipe(TextWriter writer) : IAnsiConsoleOutput
    {
        public TextWriter Writer => writer;
        public bool IsTerminal => false;
        public int Width => PipeWidth;
        public int Height => 1;

        public void SetEncoding(Encoding encoding)
        {
        }
    }
}
