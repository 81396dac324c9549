using CsCheck;
using Imbrex.Engine.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Intake;

public sealed class NaturalOrderTests
{
    [Theory]
    [InlineData("F9.tif", "F10.tif")]
    [InlineData("F009.tif", "F10.tif")]
    [InlineData("F2-9.tif", "F2-10.tif")]
    [InlineData("F1", "F1.tif")]
    [InlineData("B10", "a9")]
    [InlineData("F01.tif", "F1.tif")]
    [InlineData("F1.tif", "F1a.tif")]
    [InlineData("F99999999999999999998.tif", "F99999999999999999999.tif")]
    [InlineData("F0", "F1")]
    public void Runs_of_digits_count_as_numbers_and_ties_are_ordinal(string first, string second)
    {
        Assert.True(NaturalOrder.Instance.Compare(first, second) < 0);
        Assert.True(NaturalOrder.Instance.Compare(second, first) > 0);
    }

    [Fact]
    public void It_is_a_total_order_for_any_names()
    {
        Gen<string> name = Gen.Char["ab019-."].Array[0, 6].Select(letters => new string(letters));
        Gen.Select(name, name, name).Sample((x, y, z) =>
        {
            int Sign(string a, string b) => Math.Sign(NaturalOrder.Instance.Compare(a, b));
            return Sign(x, y) == -Sign(y, x) && (Sign(x, y) == 0) == (x == y) && !(Sign(x, y) < 0 && Sign(y, z) < 0 && Sign(x, z) >= 0);
        }, iter: 20_000);
    }
}
