using System.Diagnostics;
using System.Globalization;
using Microsoft.Playwright;
using Xunit;

namespace Imbrex.Cli.Tests.Bench;

/// <summary>The page in a real browser.</summary>
public sealed class BenchPageTests(Chromium chromium, ITestOutputHelper output) : IClassFixture<Chromium>, IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task It_shows_the_verdict_the_failures_and_the_tiles()
    {
        await using RunningBench bench = await StartAsync("--set", "step-x=37");
        (IPage page, _) = await chromium.OpenAsync(bench.Address);

        await Expects(page.Locator("#verdict")).ToContainTextAsync("Refused (coverage, overlap, joined)");
        Assert.Equal(6, await page.Locator("#drawing [data-tile]").CountAsync());
        Assert.Equal(6, await page.Locator("#tiles tbody tr").CountAsync());
        ILocator failures = page.Locator("#failures button"), regions = page.Locator("#drawing [data-failure]");
        Assert.Equal(await failures.Filter(new() { HasTextRegex = new("^(coverage|overlap)") }).CountAsync(), await regions.CountAsync());

        // A failure with a place is pointed out there, one without at its tiles.
        await failures.Nth(1).ClickAsync();
        Assert.Equal("1", await page.Locator("#drawing .chosen").GetAttributeAsync("data-failure"));
        Assert.Equal("true", await failures.Nth(1).GetAttributeAsync("aria-pressed"));
        await failures.Filter(new() { HasTextRegex = new("^joined") }).First.ClickAsync();
        Assert.Equal("false", await failures.Nth(1).GetAttributeAsync("aria-pressed"));
        Assert.True(await page.Locator("#drawing [data-tile] .chosen").CountAsync() > 0);
        Assert.Equal(0, await page.Locator("#drawing .chosen[data-failure]").CountAsync());
    }

    [Fact]
    public async Task A_slider_moved_by_keyboard_moves_the_tiles()
    {
        await using RunningBench bench = await StartAsync();
        (IPage page, _) = await chromium.OpenAsync(bench.Address);
        ILocator slider = page.GetByRole(AriaRole.Slider, new() { Name = "step-x" }), box = page.GetByRole(AriaRole.Spinbutton, new() { Name = "step-x, exact value in mm" });
        ILocator place = page.Locator("#tiles tbody tr").First.Locator("td").Nth(1);
        string before = await page.Locator("#drawing").InnerHTMLAsync(), stood = (await place.TextContentAsync())!;

        await slider.FocusAsync();
        await page.Keyboard.PressAsync("ArrowRight");
        await Expects(place).Not.ToHaveTextAsync(stood);
        Assert.Equal("27.1", await box.InputValueAsync());
        await Expects(slider).ToHaveAttributeAsync("aria-valuetext", "27.1 mm");
        Assert.NotEqual(before, await page.Locator("#drawing").InnerHTMLAsync());

        await box.FillAsync("37.25");
        await Expects(page.Locator("#verdict")).ToContainTextAsync("Refused");
        await Expects(page.Locator("#options")).ToHaveTextAsync("--set step-x=37.25");
        await page.GetByRole(AriaRole.Button, new() { Name = "Defaults" }).ClickAsync();
        await Expects(page.Locator("#verdict")).ToContainTextAsync("Accepted");
        Assert.Equal("27", await box.InputValueAsync());
    }

    [Fact]
    public async Task Saving_the_script_redraws()
    {
        await using RunningBench bench = await StartAsync();
        (IPage page, _) = await chromium.OpenAsync(bench.Address);
        var times = new List<double>();
        // The first two meet a compiler that is still warming up.
        for (int save = 0; save < 17; save++)
        {
            int count = 2 + save % 2;
            string text = Script(count) + $"// saved {save}\n";
            int number = await NumberAsync(page);
            long start = Stopwatch.GetTimestamp();
            // In turn as editors do: over the old bytes, and by a new file that takes the old one's name.
            if (save % 2 == 0)
                _folder.Write("grid.csx", text);
            else
                File.Move(_folder.Write("grid.csx~", text), Path.Combine(_folder.Path, "grid.csx"), overwrite: true);
            await page.WaitForFunctionAsync("before => Number(document.body.dataset.number) > before", number, new() { PollingInterval = 5 });
            times.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
            await Expects(page.Locator("#drawing [data-tile]")).ToHaveCountAsync(2 * count);
        }
        double[] warm = [.. times.Skip(2).Order()];
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"from saving to redrawn, ms: median {warm[warm.Length / 2]:0}, from {warm[0]:0} to {warm[^1]:0}; the first two {times[0]:0} and {times[1]:0}"));
    }

    [Fact]
    public async Task An_error_is_shown_at_its_line_and_goes_when_it_is_mended()
    {
        await using RunningBench bench = await StartAsync();
        (IPage page, _) = await chromium.OpenAsync(bench.Address);

        _folder.Write("grid.csx", Script(3).Replace("Tile(x, y);", "Tile(x, z);", StringComparison.Ordinal));
        ILocator fault = page.GetByRole(AriaRole.Alert);
        await Expects(fault).ToContainTextAsync("The name 'z' does not exist");
        await Expects(fault).ToContainTextAsync("grid.csx, line 8, column 17");
        await Expects(fault.Locator("mark")).ToContainTextAsync("   8          Tile(x, z);");
        Assert.Equal(6, await page.Locator("#drawing [data-tile]").CountAsync());
        await Expects(page.Locator("#drawing")).ToHaveClassAsync("old");

        _folder.Write("grid.csx", Script(3).Replace("Tile(x, y);", "throw new InvalidOperationException(\"stuck\");", StringComparison.Ordinal));
        await Expects(fault).ToContainTextAsync("stuck");
        await Expects(fault.Locator("mark")).ToContainTextAsync("throw new InvalidOperationException");

        _folder.Write("grid.csx", Script(2));
        await Expects(page.Locator("#fault")).ToBeEmptyAsync();
        await Expects(page.Locator("#drawing [data-tile]")).ToHaveCountAsync(4);
    }

    [Fact]
    public async Task It_begins_with_a_script_that_has_an_error()
    {
        string script = _folder.Write("grid.csx", "Name(\"grid\")\nTile(0, 0);\n");
        await using RunningBench bench = await RunningBench.StartAsync(script, "--sensor", "36x24/6000x4000", "--format", "60x22");
        (IPage page, _) = await chromium.OpenAsync(bench.Address);

        await Expects(page.Locator("#fault mark")).ToContainTextAsync("Name(\"grid\")");
        _folder.Write("grid.csx", Script(3));
        await Expects(page.Locator("#drawing [data-tile]")).ToHaveCountAsync(6);
    }

    [Fact]
    public async Task Maps_can_be_switched_and_probed_by_keyboard()
    {
        await using RunningBench bench = await StartAsync();
        (IPage page, _) = await chromium.OpenAsync(bench.Address);

        await page.GetByRole(AriaRole.Radio, new() { Name = "Overlap depth" }).CheckAsync();
        await Expects(page.Locator("#drawing .heat image")).ToHaveCountAsync(1);
        await Expects(page.GetByRole(AriaRole.List, new() { Name = "Scale of the map" })).ToContainTextAsync("under 2.5 mm asked for");
        await page.Locator("#drawing").FocusAsync();
        await page.Keyboard.PressAsync("ArrowRight");
        await Expects(page.Locator("#probe")).ToContainTextAsync("x 0.5, y 0 mm: overlap depth");

        await page.GetByRole(AriaRole.Radio, new() { Name = "Light left" }).CheckAsync();
        await Expects(page.Locator("#probe")).ToContainTextAsync("light left 100 %");
        await page.GetByRole(AriaRole.Radio, new() { Name = "None" }).CheckAsync();
        await Expects(page.Locator("#drawing .heat image")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task Every_control_has_a_role_and_a_name_and_can_be_reached_by_keyboard()
    {
        await using RunningBench bench = await RunningBench.StartAsync("regular-grid", "--sensor", "36x24/6000x4000", "--format", "90x44", "--set", "columns=3", "--set", "rows=2", "--set", "step-x=37", "--set", "step-y=20");
        (IPage page, _) = await chromium.OpenAsync(bench.Address);
        string[] names = [.. (await page.Locator("main").AriaSnapshotAsync()).Split('\n').Select(line => line.Trim(' ', '-'))];

        foreach (string control in new[] { "heading \"Findings\"", "heading \"Parameters\"", "group \"Map\"", "radio \"None\"", "radio \"Overlap depth\"", "radio \"Light left\"", "group \"View\"",
            "group \"Drawing of the image plane, seen from behind the camera\"", "img \"Plan of 6 tiles, seen from behind the camera\"", "slider \"columns\"", "slider \"step-x\"",
            "spinbutton \"step-x, exact value in mm\"", "combobox \"turn\"", "button \"Defaults\"", "list \"Failures\"", "table \"Rules\"" })
            Assert.Contains(names, name => name.StartsWith(control, StringComparison.Ordinal));
        int controls = await page.Locator("input, select, button:enabled, summary").CountAsync();
        string[] nameless = await page.EvaluateAsync<string[]>("""
            () => [...document.querySelectorAll("input, select, button, summary")].filter(control =>
                !(control.labels?.length > 0 || control.getAttribute("aria-label") || control.textContent.trim())).map(control => control.outerHTML)
            """);
        Assert.Empty(nameless);
        Assert.Equal("polite", await page.Locator("#verdict").GetAttributeAsync("aria-live"));

        // Each group of radio buttons is one stop; everything else is one of its own.
        var reached = new HashSet<string>();
        for (int i = 0; i < controls + 4; i++)
        {
            await page.Keyboard.PressAsync("Tab");
            reached.Add(await page.EvaluateAsync<string>("() => document.activeElement.id || document.activeElement.name || document.activeElement.textContent.trim().slice(0, 30)"));
        }
        Assert.Superset(new HashSet<string> { "map", "view", "drawing", "parameter-columns", "parameter-columns-exact", "parameter-turn", "defaults", "Tiles" }, reached);
    }

    [Fact]
    public async Task Nothing_is_asked_of_any_other_address_and_no_rule_of_the_page_is_broken()
    {
        await using RunningBench bench = await StartAsync();
        (IPage page, List<string> requests) = await chromium.OpenAsync(bench.Address);
        var errors = new List<string>();
        page.Console += (_, message) => errors.Add($"{message.Type}: {message.Text}");
        page.PageError += (_, error) => errors.Add(error);
        await page.ReloadAsync();
        await page.GetByRole(AriaRole.Radio, new() { Name = "Overlap depth" }).CheckAsync();
        await Expects(page.Locator("#drawing .heat image")).ToHaveCountAsync(1);

        Assert.True(requests.Count >= 5);
        Assert.All(requests, url => Assert.True(url.StartsWith(bench.Address.AbsoluteUri, StringComparison.Ordinal) || url.StartsWith("data:", StringComparison.Ordinal), url));
        Assert.Empty(errors);
    }

    [Theory]
    [InlineData("light", 1360)]
    [InlineData("dark", 1360)]
    [InlineData("light", 420)]
    public async Task Text_has_contrast_and_nothing_overflows(string scheme, int width)
    {
        await using RunningBench bench = await StartAsync("--set", "step-x=37");
        (IPage page, _) = await chromium.OpenAsync(bench.Address, new()
        {
            ColorScheme = scheme == "dark" ? ColorScheme.Dark : ColorScheme.Light,
            ViewportSize = new() { Width = width, Height = 900 },
        });
        await page.Locator("details").Last.Locator("summary").ClickAsync();

        // WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text; relative luminance as defined there.
        string[] faint = await page.EvaluateAsync<string[]>("""
            () => {
              const channels = colour => colour.match(/[\d.]+/g).map(Number);
              const light = ([r, g, b]) => [r, g, b].map(c => c / 255).map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4).reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
              const ground = element => { for (let e = element; e; e = e.parentElement) { const c = channels(getComputedStyle(e).backgroundColor); if (c.length < 4 || c[3] > 0) return c; } return [255, 255, 255]; };
              return [...document.querySelectorAll("h1,h2,p,li,td,th,label,legend,button,summary,code,span,select,input[type=number]")].filter(e => e.offsetParent && e.textContent.trim() !== "" && !e.disabled).map(e => {
                const [a, b] = [light(channels(getComputedStyle(e).color)), light(ground(e))].sort((x, y) => y - x);
                return [(a + 0.05) / (b + 0.05), e.outerHTML.slice(0, 90)];
              }).filter(([contrast]) => contrast < 4.5).map(([contrast, html]) => contrast.toFixed(2) + " " + html);
            }
            """);
        Assert.Empty(faint);
        Assert.True(await page.EvaluateAsync<bool>("() => document.documentElement.scrollWidth <= document.documentElement.clientWidth"));
    }

    private static async Task<int> NumberAsync(IPage page) => await page.EvaluateAsync<int>("() => Number(document.body.dataset.number)");

    private static ILocatorAssertions Expects(ILocator locator) => Assertions.Expect(locator);

    private Task<RunningBench> StartAsync(params string[] more) => RunningBench.StartAsync(
    [
        _folder.Write("grid.csx", Script(3)), "--kit", Path.Combine(Imbrex.Repository, "scripts", "kits", "rail-with-lens.json"), "--format", "84x41", "--aperture", "16", .. more,
    ]);

    private static string Script(int columns) => $$"""
        Name("grid");
        Summary("Two rows of level tiles");
        var columns = Count("columns", {{columns}}, 1, 6, "Tiles in a row");
        var stepX = Parameter("step-x", 27.0, Unit.Millimetre, 10, 40, "Distance of neighbours");

        foreach (var y in Centred(2, 20))
            foreach (var x in Centred(columns, stepX))
                Tile(x, y);

        """;
}
