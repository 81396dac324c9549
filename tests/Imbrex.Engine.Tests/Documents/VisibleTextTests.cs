using Imbrex.Engine.Documents;
using Xunit;

namespace Imbrex.Engine.Tests.Documents;

public sealed class VisibleTextTests
{
    [Theory]
    [InlineData("")]
    [InlineData("Bricks, 2 rows; plät & żółć, 砖")]
    [InlineData("\U0001F9F1")]
    public void What_people_read_is_visible(string text) => Assert.True(VisibleText.IsVisible(text));

    [Theory]
    [InlineData("a\u001b[2Jb", "escapes to the terminal")]
    [InlineData("a\nb", "ends the line")]
    [InlineData("a\u202eb", "turns the direction of writing")]
    [InlineData("a\u200bb", "shows as nothing")]
    [InlineData("a\U000e0041b", "is a tag, which shows as nothing")]
    [InlineData("a\u2028b", "ends the line in some programs")]
    [InlineData("a\ue000b", "looks as each font likes")]
    [InlineData("a\u0378b", "is no character yet")]
    public void What_obeys_or_hides_is_not(string text, string because) => Assert.False(VisibleText.IsVisible(text), because);

    [Fact]
    public void Half_a_character_is_not() => Assert.False(VisibleText.IsVisible(['a', '\ud83e', 'b']));
}
