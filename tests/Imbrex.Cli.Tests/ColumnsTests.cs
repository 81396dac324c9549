using Imbrex.Cli.Output;
using Xunit;

namespace Imbrex.Cli.Tests;

public sealed class ColumnsTests
{
    private static readonly string[][] Rows = [["reach", "passed", "Every tile can be reached from where the back stands."], ["light", "failed", "Too dark."]];

    [Fact]
    public void Columns_are_as_wide_as_what_they_hold() => Assert.Equal(
        """
          reach   passed   Every tile can be reached from where the back stands.
          light   failed   Too dark.

        """.ReplaceLineEndings("\n"), Columns.Lay(Rows, 160));

    [Fact]
    public void The_last_column_is_broken_at_spaces_where_the_terminal_ends() => Assert.Equal(
        """
          reach   passed   Every tile can be reached from
                           where the back stands.
          light   failed   Too dark.

        """.ReplaceLineEndings("\n"), Columns.Lay(Rows, 51));

    [Fact]
    public void A_word_longer_than_the_column_is_cut() =>
        Assert.Equal($"  a   {new string('x', 44)}\n      {new string('x', 16)}\n", Columns.Lay([["a", new string('x', 60)]], 50));

    [Fact]
    public void In_a_very_narrow_terminal_lines_run_on() => Assert.Contains("Every tile can be reached from where the back stands.", Columns.Lay(Rows, 20), StringComparison.Ordinal);
}
