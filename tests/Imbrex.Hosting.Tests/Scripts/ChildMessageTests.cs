using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Scripts.Children;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;
using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>What goes between the program and its children, and what the program makes of a child that lies.</summary>
public class ChildMessageTests
{
    private static readonly LayoutScriptResult Result = new(
        new("mine", "Two tiles", ParameterDefinition.Number("side", "Side", 34, Unit.Millimetre, 26, 40), ParameterDefinition.Count("rows", "Rows", 2, 1, 9)),
        [new(new(new(1, 2), Turn.Quarter, 3)), new(new(new(-4, 5)), "named")]);

    [Fact]
    public void A_request_arrives_as_it_was_sent()
    {
        var request = new LayoutRequest
        {
            Sensor = new(1, 2),
            Format = new(3, 4),
            Overlap = 5,
            PositionTolerance = new(6, 7),
            AngularTolerance = 8,
            Limits = new(9, 10, 11, 12, [Turn.None, Turn.Half]),
        };
        byte[] message = ChildMessages.Execute([1, 2], [3], new(request, new Dictionary<string, string> { ["side"] = "33" }, IsProbe: true));

        (byte[] assembly, byte[] symbols, LayoutScriptRequest arrived) = ChildMessages.Execute(message);

        Assert.Equal([1, 2], assembly);
        Assert.Equal([3], symbols);
        Assert.True(arrived.IsProbe);
        Assert.Equal("33", arrived.Given["side"]);
        Assert.Equal(request.Limits.Turns, arrived.Request.Limits.Turns);
        Assert.Equal(request, arrived.Request with { Limits = arrived.Request.Limits with { Turns = request.Limits.Turns } });
    }

    [Fact]
    public void A_result_arrives_as_it_was_sent()
    {
        LayoutScriptResult arrived = ChildMessages.Answer(ChildMessages.Result(Result)).Result!;

        Assert.Equal((Result.Description.Name, Result.Description.Summary), (arrived.Description.Name, arrived.Description.Summary));
        Assert.Equal(Result.Description.Parameters.Select(Told), arrived.Description.Parameters.Select(Told));
        Assert.Equal(Result.Tiles, arrived.Tiles);

        static (string, string, double, Unit, double, double, bool) Told(ParameterDefinition p) => (p.Name, p.Summary, p.Default, p.Unit, p.Minimum, p.Maximum, p.IsWhole);
    }

    [Fact]
    public void A_fault_arrives_plain()
    {
        ChildFault fault = ChildMessages.Answer(ChildMessages.Fault(new(true, "red \u001B[31m\u202E" + new string('x', 5000), null, 7, "a\nb"))).Fault!;

        Assert.StartsWith("red [31mx", fault.What, StringComparison.Ordinal);
        Assert.Equal(PlainResult.LongestMessage + 1, fault.What.Length);
        Assert.Equal((true, null, 7, "a b"), (fault.IsRefusal, fault.Where, fault.Line, fault.Remedy));
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.NegativeInfinity)]
    [InlineData(1e7)]
    public void A_tile_without_a_place_is_believed_of_no_child(double x)
    {
        LayoutScriptResult lie = Result with { Tiles = [new(new(new(0, x)))] };

        Assert.Throws<InputException>(() => PlainResult.Checked(ChildMessages.Answer(ChildMessages.Result(lie)).Result!, isProbe: false));
    }

    [Fact]
    public void Turns_units_counts_and_lengths_are_looked_at_again()
    {
        Assert.Throws<InputException>(() => PlainResult.Checked(Result with { Tiles = [new(new(default, (Turn)45))] }, isProbe: false));
        Assert.Throws<InputException>(() => PlainResult.Checked(Result with { Tiles = [] }, isProbe: false));
        Assert.Empty(PlainResult.Checked(Result with { Tiles = [] }, isProbe: true).Tiles);
        Assert.Throws<InputException>(() => PlainResult.Checked(Result with { Tiles = [.. Enumerable.Repeat(Result.Tiles[0], LayoutScript.MaximumTiles + 1)] }, isProbe: false));
        Assert.Throws<InputException>(() => PlainResult.Checked(new(new("mine", "s", ParameterDefinition.Number("p", "", 1, (Unit)99)), Result.Tiles), isProbe: false));
        Assert.Throws<InvalidDataException>(() => ChildMessages.Answer(ChildMessages.Result(Result with { Tiles = [.. Enumerable.Repeat(Result.Tiles[0], LayoutScript.MaximumTiles + 1)] })));
    }

    [Fact]
    public void Damaged_answers_are_refused_and_nothing_else()
    {
        byte[] whole = ChildMessages.Result(Result);
        var random = new Random(3);
        for (int i = 0; i < 2000; i++)
        {
            byte[] damaged = random.Next(4) == 0 ? whole[..random.Next(whole.Length)] : [.. whole];
            for (int change = random.Next(1, 5); change > 0 && damaged.Length > 0; change--)
                damaged[random.Next(damaged.Length)] = (byte)random.Next(256);
            Exception? error = Record.Exception(() => ChildMessages.Answer(damaged).Result is { } result ? PlainResult.Checked(result, isProbe: false) : null);
            Assert.True(error is null or InvalidDataException or InputException or ArgumentException or OverflowException, error?.ToString());
        }
    }

    [Fact]
    public void A_frame_that_claims_to_be_huge_is_not_read()
    {
        using var stream = new MemoryStream([0xFF, 0xFF, 0xFF, 0x7F, 1, 2, 3]);
        Assert.Throws<InvalidDataException>(() => Frames.Read(stream));
        using var cut = new MemoryStream([5, 0, 0, 0, 1]);
        Assert.Throws<InvalidDataException>(() => Frames.Read(cut));
        using var ended = new MemoryStream([]);
        Assert.Null(Frames.Read(ended));
    }
}
