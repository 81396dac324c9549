using Imbrex.Cli.Commands;
using Imbrex.Cli.Output;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Cli.Tests;

public class ErrorPrinterTests
{
    public static TheoryData<Exception, int, string> Cases => new()
    {
        { new InputException("no frame"), 1, "no frame" },
        { new RefusalException("a gap"), 2, "a gap" },
        { new OperationCanceledException(), 130, "Cancelled" },
        { new IOException("No space left on device"), 1, "No space left" },
        { new UnauthorizedAccessException("Access denied"), 1, "Access denied" },
        { new AggregateException(new InvalidOperationException("follows"), new InputException("cause")), 1, "cause" },
        { new InvalidOperationException("odd\nsecond line"), 70, "Internal error: InvalidOperationException: odd" },
    };

    // The name of a file may come from a stranger's archive.
    [Fact]
    public void What_a_terminal_would_obey_is_shown_as_a_question_mark()
    {
        Assert.Equal("a?[2Jb\tc\nd ?e Ürümqi 30 µm", PlainText.Of("a\u001b[2Jb\tc\nd \u202ee Ürümqi 30 µm"));
        Assert.Equal("?", PlainText.Of("\u009b"));
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void Every_exception_has_its_exit_code_and_one_line(Exception exception, int code, string text)
    {
        (int exitCode, Finding finding) = ErrorPrinter.Explain(exception);

        Assert.Equal(code, exitCode);
        Assert.StartsWith(text, finding.Message, StringComparison.Ordinal);
        Assert.DoesNotContain("\n", finding.Message, StringComparison.Ordinal);
        Assert.Equal(code == 70, finding.Remedy?.Contains("report", StringComparison.Ordinal) ?? false);
    }
}
