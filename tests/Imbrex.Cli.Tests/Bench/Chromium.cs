using Microsoft.Playwright;
using Xunit;

namespace Imbrex.Cli.Tests.Bench;

/// <summary>The system's Chromium, without a window; its tests are skipped where there is none.</summary>
public sealed class Chromium : IAsyncLifetime
{
    private static readonly string? Executable = new[] { "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome" }.FirstOrDefault(File.Exists);

    private IPlaywright? _playwright;
    private IBrowser? _browser;

    public async ValueTask InitializeAsync()
    {
        if (Executable is null)
            return;
        _playwright = await Playwright.CreateAsync();
        // Chromium's own sandbox does not work for root, as in containers; it opens pages of this test alone.
        _browser = await _playwright.Chromium.LaunchAsync(new() { ExecutablePath = Executable, Headless = true, ChromiumSandbox = false });
    }

    public async ValueTask DisposeAsync()
    {
        if (_browser is not null)
            await _browser.DisposeAsync();
        _playwright?.Dispose();
    }

    /// <summary>A page of its own, with all that it asks for.</summary>
    public async Task<(IPage Page, List<string> Requests)> OpenAsync(Uri address, BrowserNewContextOptions? options = null)
    {
        if (_browser is null)
            Assert.Skip("There is no Chromium on this machine (apt-get install chromium).");
        IBrowserContext context = await _browser.NewContextAsync(options ?? new() { ViewportSize = new() { Width = 1360, Height = 900 } });
        IPage page = await context.NewPageAsync();
        page.SetDefaultTimeout(20_000);
        var requests = new List<string>();
        page.Request += (_, request) => requests.Add(request.Url);
        await page.GotoAsync(address.AbsoluteUri);
        await page.Locator("#drawing svg, #fault h2").First.WaitForAsync();
        return (page, requests);
    }
}
