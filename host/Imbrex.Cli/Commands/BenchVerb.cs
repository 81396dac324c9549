using System.CommandLine;
using System.Runtime.CompilerServices;
using Imbrex.Cli.Bench;
using Imbrex.Hosting.Planning;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>Shows a layout in the browser and judges it anew at every save of its script.</summary>
internal sealed class BenchVerb() : Verb("bench", "Shows a layout in the browser while its script is written: drawing, heat maps, verdict, sliders",
    "imbrex bench scripts/layouts/brickwork.csx --kit scripts/kits/filed-stops.json --format 110x60",
    "imbrex bench regular-grid --kit scripts/kits/rail-with-lens.json --format 86x41 --set columns=3 --set rows=2 --set step-x=27 --set step-y=20 --aperture 16")
{
    private const int HighestPort = 65535;

    private readonly Argument<string> _layout = new("LAYOUT") { Description = "A layout script (.csx), or the name of a layout" };
    private readonly PlanningOptions _options = new();
    private readonly Option<int?> _port = new("--port") { HelpName = "PORT", Description = "Port of 127.0.0.1 to serve on; without it, one that is free" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        command.Add(_layout);
        _options.AddTo(command);
        command.Add(_port);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        int port = given.GetValue(_port) ?? 0;
        if (port is < 0 or > HighestPort)
            throw new InputException($"--port is {port}.", "--port", $"Give a port from 1 to {HighestPort}, or leave it away for one that is free.");
        string layout = given.GetRequiredValue(_layout);
        if (layout.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
            throw new InputException("A plan has nothing to set.", layout, "Name a layout script (.csx) or a layout; imbrex check --svg draws a plan.");
        RequireLayout(layout, context);
        return ServeAsync(given, layout, port, context, cancellation);
    }

    // What a script does wrong is shown on the page, where it is mended; one that is not there is a slip of the finger.
    private static void RequireLayout(string layout, CommandContext context)
    {
        if (!LayoutScripts.IsScript(layout))
            context.Catalogue.Layout(layout);
        else if (!File.Exists(layout))
            throw new InputException($"There is no script {layout}.", layout, "Check the path; an empty file will do to begin with.");
    }

    // In a method of its own, so that the web server is loaded for this verb only.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private async Task<VerbResult> ServeAsync(ParseResult given, string layout, int port, CommandContext context, CancellationToken cancellation)
    {
        PlanningWish wish = _options.Wish(given, layout);
        var session = new BenchSession(new KitPlanner(context.Catalogue), () => _options.Wish(given, layout), layout, wish.Parameters ?? new Dictionary<string, string>());
        session.Reload();
        await using BenchServer server = await BenchServer.StartAsync(session, port, cancellation);
        bool script = LayoutScripts.IsScript(layout);
        string[] files = [.. script ? [layout] : Array.Empty<string>(), .. _options.KitFile(given) is { } kit ? [kit] : Array.Empty<string>(),
            .. wish.Kit?.Back.Adapter is { } adapter && AdapterScripts.IsScript(adapter) ? [adapter] : Array.Empty<string>()];
        FileWatch[] watches = [.. files.Select(file => new FileWatch(file, session.Reload))];
        try
        {
            context.Terminal.Say($"Bench: {server.Address}");
            context.Terminal.Say("Only this machine can open it, and only with this address. Ctrl-C ends it.");
            context.Terminal.Begin(Name, new VerbResult { Verdict = "serving", Data = new { server.Address, server.Port } });
            if (script)
                _ = Task.Run(() => context.Scripts.KeepWarm(layout), CancellationToken.None);
            await Task.Delay(Timeout.Infinite, cancellation).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
        finally
        {
            Array.ForEach(watches, watch => watch.Dispose());
        }
        return new VerbResult();
    }

    /// <summary>Ctrl-C is the way to end it.</summary>
    protected override bool EndsWhenCancelled => true;
}
