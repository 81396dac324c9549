using System.Globalization;
using System.Text.RegularExpressions;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>Every layout script in the repository does what its head comment promises.</summary>
public partial class ShippedLayoutTests
{
    private static readonly LayoutScripts Scripts = new(new RoslynScriptCompiler(), new InProcessExecutor(InProcessExecutor.UsualLimit), CancellationToken.None);

    public static TheoryData<string> Names => [.. Directory.GetFiles(Repository.Scripts("layouts"), "*.csx").Select(path => Path.GetFileName(path))];

    [Theory]
    [MemberData(nameof(Names))]
    public void It_fills_the_format_that_its_comment_names(string name)
    {
        string path = Path.Combine(Repository.Scripts("layouts"), name);
        LayoutRequest request = Promise(File.ReadAllText(path));
        ScriptLayout layout = Scripts.Open(path, request);

        Assert.Equal(Path.GetFileNameWithoutExtension(name), layout.Description.Name);
        Assert.Empty(Holes(layout.Arrange(Bound(layout, request)), request));

        // The raster can tell: a format that is 12 mm too wide has holes.
        LayoutRequest tooWide = request with { Format = new(request.Format.Width + 12, request.Format.Height) };
        IReadOnlyList<Tile> tiles = layout.Arrange(Bound(layout, request));
        Assert.NotEmpty(Holes(tiles, tooWide));
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void The_same_request_gives_the_same_tiles(string name)
    {
        ScriptLayout layout = Scripts.Open(Path.Combine(Repository.Scripts("layouts"), name));
        LayoutRequest request = Bound(layout, ScriptBench.Request);

        Assert.Equal(layout.Arrange(request), layout.Arrange(request));
    }

    [Fact]
    public void The_brickwork_takes_its_parameters()
    {
        ScriptLayout layout = Scripts.Open(Path.Combine(Repository.Scripts("layouts"), "brickwork.csx"));
        LayoutRequest request = Bound(layout, ScriptBench.Request, ("columns", "2"), ("rows", "2"), ("step-x", "30"), ("shift", "4"));

        Assert.Equal([-17, 13, -13, 17], layout.Arrange(request).Select(tile => tile.Pose.Centre.X));
        Assert.Equal(["r1c1", "r1c2", "r2c1", "r2c2"], layout.Arrange(request).Select(tile => tile.Id));
    }

    [Fact]
    public void Stops_that_do_not_reach_are_a_refusal()
    {
        ScriptLayout layout = Scripts.Open(Path.Combine(Repository.Scripts("layouts"), "uneven-detents.csx"));

        var error = Assert.Throws<Sdk.RefusalException>(() => layout.Arrange(Bound(layout, ScriptBench.Request with { Format = new(200, 40) })));
        Assert.Equal("The stops of this back do not fill a format 200 mm wide.", error.Message);
    }

    [Fact]
    public void A_script_that_refuses_the_probe_still_describes_itself()
    {
        ScriptLayout layout = Scripts.Open(Path.Combine(Repository.Scripts("layouts"), "uneven-detents.csx"), ScriptBench.Request with { Format = new(500, 500) });

        Assert.Equal("uneven-detents", layout.Description.Name);
    }

    private static LayoutRequest Bound(ScriptLayout layout, LayoutRequest request, params (string Name, string Value)[] given) =>
        request with { Parameters = ParameterValues.Bind(layout.Description.Parameters, given.ToDictionary(pair => pair.Name, pair => pair.Value)) };

    // The acceptance rule of the design, section 7, on a raster: the middle of every d x d window of the format lies in a usable
    // tile that is made smaller by d/2. Where tiles stand square the window keeps its sides parallel to theirs; between rotated ones it is a disc.
    private static IEnumerable<PlanePoint> Holes(IReadOnlyList<Tile> tiles, LayoutRequest request)
    {
        double d = request.Overlap;
        foreach (double y in Raster(request.Format.Height - d))
        {
            foreach (double x in Raster(request.Format.Width - d))
            {
                if (!tiles.Any(tile => Holds(tile, new(x, y))))
                    yield return new(x, y);
            }
        }

        bool Holds(Tile tile, PlanePoint point)
        {
            PlaneSize usable = request.UsableTile(Turn.None);
            PlanePoint offset = (point - tile.Pose.Centre).Rotated(-tile.Pose.TotalRotation);
            return Math.Abs(offset.X) <= (usable.Width - d) / 2 + 1e-9 && Math.Abs(offset.Y) <= (usable.Height - d) / 2 + 1e-9;
        }
    }

    private static IEnumerable<double> Raster(double length)
    {
        int steps = (int)Math.Ceiling(length / 0.2);
        return Enumerable.Range(0, steps + 1).Select(i => (double)i / steps * length - length / 2);
    }

    private static LayoutRequest Promise(string text)
    {
        Match match = PromiseLine().Match(text);
        Assert.True(match.Success, "The head comment names no sensor and format.");
        double[] n = [.. match.Groups.Values.Skip(1).Select(group => double.Parse(group.Value, CultureInfo.InvariantCulture))];
        return new() { Sensor = new(n[0], n[1]), Format = new(n[2], n[3]), Overlap = n[4], PositionTolerance = n[5], AngularTolerance = n[6] };
    }

    [GeneratedRegex(@"^// Accepted for: sensor ([\d.]+)x([\d.]+), format ([\d.]+)x([\d.]+), overlap ([\d.]+), tolerance ([\d.]+),([\d.]+)\r?$", RegexOptions.Multiline)]
    private static partial Regex PromiseLine();
}
