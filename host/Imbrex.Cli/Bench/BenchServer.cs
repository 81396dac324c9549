using System.Net;
using System.Text.Json;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace Imbrex.Cli.Bench;

/// <summary>Serves the bench's page and its events on 127.0.0.1 and nowhere else.</summary>
internal sealed class BenchServer : IAsyncDisposable
{
    private const int LongestMessage = 64 * 1024;
    private static readonly TimeSpan HeartBeat = TimeSpan.FromSeconds(15);

    private static readonly Dictionary<string, (string Resource, string Type)> Assets = new(StringComparer.Ordinal)
    {
        [""] = ("bench.html", "text/html; charset=utf-8"),
        ["bench.css"] = ("bench.css", "text/css; charset=utf-8"),
        ["bench.js"] = ("bench.js", "text/javascript; charset=utf-8"),
    };

    private static readonly JsonSerializerOptions Compact = new(JsonDocuments.Options) { WriteIndented = false };

    private readonly BenchSession _session;
    private readonly BenchGuard _guard = new();
    private readonly CancellationTokenSource _closing = new();
    private readonly WebApplication _application;
    private int _port;

    private BenchServer(BenchSession session, int port)
    {
        _session = session;
        // Without defaults: no settings are read from files or the environment, nothing is logged, no other address is opened.
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new());
        builder.WebHost.UseKestrelCore().ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = LongestMessage;
            kestrel.Listen(IPAddress.Loopback, port);
        });
        builder.Services.AddSingleton<IHostLifetime, OwnLifetime>();
        _application = builder.Build();
        _application.Run(AnswerAsync);
    }

    /// <summary>The page's address with its token.</summary>
    public string Address => _guard.Address(_port);

    public int Port => _port;

    /// <summary>Opens the port.</summary>
    /// <param name="session">What is shown.</param>
    /// <param name="port">A port, or 0 for any that is free.</param>
    /// <param name="cancellation">Gives up.</param>
    /// <exception cref="InputException">The port is taken.</exception>
    public static async Task<BenchServer> StartAsync(BenchSession session, int port, CancellationToken cancellation)
    {
        var server = new BenchServer(session, port);
        try
        {
            await server._application.StartAsync(cancellation);
        }
        catch (IOException e)
        {
            await server.DisposeAsync();
            throw new InputException($"Port {port} of 127.0.0.1 cannot be opened.", "--port", "Another program uses it: choose another, or leave --port away for one that is free.", e);
        }
        string address = server._application.Services.GetRequiredService<IServer>().Features.GetRequiredFeature<IServerAddressesFeature>().Addresses.Single();
        server._port = new Uri(address).Port;
        return server;
    }

    public async ValueTask DisposeAsync()
    {
        await _closing.CancelAsync();
        await _application.StopAsync();
        await _application.DisposeAsync();
        _closing.Dispose();
    }

    private async Task AnswerAsync(HttpContext context)
    {
        BenchGuard.Harden(context.Response.Headers);
        switch ((context.Request.Method, _guard.Path(context.Request, _port)))
        {
            case (_, null):
                context.Response.StatusCode = StatusCodes.Status403Forbidden;
                break;
            case ("GET", { } asset) when Assets.TryGetValue(asset, out (string Resource, string Type) found):
                await SendAsync(context, found.Type, Resource(found.Resource));
                break;
            case ("GET", "events"):
                await EventsAsync(context);
                break;
            case ("GET", "map/overlap" or "map/light"):
                await MapAsync(context);
                break;
            case ("POST", "parameters"):
                await ParametersAsync(context);
                break;
            case ("POST", "defaults"):
                _session.Reset();
                context.Response.StatusCode = StatusCodes.Status204NoContent;
                break;
            default:
                context.Response.StatusCode = StatusCodes.Status404NotFound;
                break;
        }
    }

    private async Task ParametersAsync(HttpContext context)
    {
        try
        {
            if (!context.Request.HasJsonContentType())
                throw new JsonException();
            Dictionary<string, string> values = await JsonSerializer.DeserializeAsync<Dictionary<string, string>>(context.Request.Body, Compact, context.RequestAborted) ?? throw new JsonException();
            _session.Set(values);
            context.Response.StatusCode = StatusCodes.Status204NoContent;
        }
        catch (JsonException)
        {
            context.Response.StatusCode = StatusCodes.Status400BadRequest;
        }
    }

    private async Task MapAsync(HttpContext context)
    {
        int number = _session.State.Number;
        if (_session.Map(context.Request.Path.Value!.Split('/')[^1]) is not { } map)
        {
            context.Response.StatusCode = StatusCodes.Status204NoContent;
            return;
        }
        var answer = new { number, map.Columns, map.Rows, Values = map.Values.Select(value => double.IsNaN(value) ? (double?)null : Math.Round(value, 3)) };
        await SendAsync(context, "application/json", JsonSerializer.SerializeToUtf8Bytes(answer, Compact));
    }

    // Server-sent events (WHATWG HTML, "Server-sent events"): each state as one line of data, and a comment now and then that keeps the connection.
    private async Task EventsAsync(HttpContext context)
    {
        context.Response.ContentType = "text/event-stream";
        context.Features.GetRequiredFeature<IHttpResponseBodyFeature>().DisableBuffering();
        using var ended = CancellationTokenSource.CreateLinkedTokenSource(context.RequestAborted, _closing.Token);
        try
        {
            for (int number = -1; ;)
            {
                Task<BenchState> next = _session.AfterAsync(number, ended.Token);
                while (await Task.WhenAny(next, Task.Delay(HeartBeat, ended.Token)) != next)
                {
                    ended.Token.ThrowIfCancellationRequested();
                    await context.Response.Body.WriteAsync(": \n\n"u8.ToArray(), ended.Token);
                }
                BenchState state = await next;
                number = state.Number;
                await context.Response.Body.WriteAsync((byte[])[.. "data: "u8, .. JsonSerializer.SerializeToUtf8Bytes(state, Compact), .. "\n\n"u8], ended.Token);
            }
        }
        catch (OperationCanceledException) when (ended.IsCancellationRequested)
        {
            // The page is closed, or the bench.
        }
    }

    private static async Task SendAsync(HttpContext context, string type, byte[] content)
    {
        context.Response.ContentType = type;
        context.Response.ContentLength = content.Length;
        await context.Response.Body.WriteAsync(content, context.RequestAborted);
    }

    private static byte[] Resource(string name)
    {
        using Stream stream = typeof(BenchServer).Assembly.GetManifestResourceStream(name)!;
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        return memory.ToArray();
    }

    // The program listens for Ctrl-C itself.
    private sealed class OwnLifetime : IHostLifetime
    {
        public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

        public Task WaitForStartAsync(CancellationToken cancellationToken) => Task.CompletedTask;
    }
}
