using Imbrex.Hosting.Batch;
using Xunit;

namespace Imbrex.Hosting.Tests.Batch;

public class NaturalOrderTests
{
    [Fact]
    public void Digits_count_as_numbers()
    {
        string[] sorted = ["take1", "take2", "take010", "take10", "take10b", "take99999999999999999999", "takeA"];

        Assert.Equal(sorted, sorted.Reverse().Order(NaturalOrder.Instance));
    }
}
