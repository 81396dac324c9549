using Imbrex.Cli.Output;
using Xunit;

namespace Imbrex.Cli.Tests;

public class ProgressLineTests
{
    [Fact]
    public void In_a_pipe_a_stage_is_told_when_it_begins_and_at_each_quarter()
    {
        using var writer = new StringWriter { NewLine = "\n" };
        var progress = new ProgressLine(writer, live: false);
        foreach (string stage in new[] { "reading", "blending" })
        {
            for (int i = 0; i <= 100; i++)
                progress.Report(new(stage, i / 100.0));
        }
        progress.Clear();

        string[] quarters = ["0", "25", "50", "75", "100"];
        Assert.Equal(string.Concat(new[] { "reading", "blending" }.SelectMany(stage => quarters.Select(q => $"{stage} {q} %\n"))), writer.ToString());
    }

    [Fact]
    public void On_a_terminal_one_line_is_renewed_and_taken_away()
    {
        using var writer = new StringWriter();
        var progress = new ProgressLine(writer, live: true);
        progress.Report(new("reading", 0.5));
        progress.Report(new("reading", 1));
        progress.Clear();
        progress.Clear();

        Assert.Equal("\rreading 50 %\rreading 100 %\r" + new string(' ', "reading 100 %".Length) + "\r", writer.ToString());
    }
}
