using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests.Bench;

/// <summary>Whom the bench answers, and how it begins and ends.</summary>
public sealed class BenchGuardTests
{
    private static readonly string[] Layout = ["regular-grid", "--sensor", "36x24/6000x4000", "--format", "60x22", "--set", "columns=2", "--tolerance", "0"];

    [Fact]
    public async Task It_answers_only_who_knows_the_token_and_speaks_to_it_by_its_own_name()
    {
        await using RunningBench bench = await RunningBench.StartAsync(Layout);
        Uri page = bench.Address;
        string host = page.Authority, path = page.AbsolutePath;
        string wrong = "/" + new string('0', 64) + "/";

        Assert.Equal(200, await StatusAsync(page, "GET", path, $"Host: {host}"));
        Assert.Equal(200, await StatusAsync(page, "GET", path, $"Host: {host}", $"Origin: http://{host}", "Sec-Fetch-Site: same-origin"));
        Assert.Equal(404, await StatusAsync(page, "GET", path + "secret", $"Host: {host}"));
        foreach (string elsewhere in new[] { "/", wrong, path[..^2] + "/", path.TrimEnd('/'), wrong + "events", "//" + path, path.ToUpperInvariant() + "x/" })
            Assert.Equal(403, await StatusAsync(page, "GET", elsewhere, $"Host: {host}"));
        foreach (string name in new[] { "localhost:" + page.Port, "evil.example", "127.0.0.1", $"127.0.0.1:{page.Port + 1}" })
            Assert.Equal(403, await StatusAsync(page, "GET", path, $"Host: {name}"));
        foreach (string header in new[] { "Origin: http://evil.example", "Origin: null", "Sec-Fetch-Site: cross-site", "Sec-Fetch-Site: same-site" })
            Assert.Equal(403, await StatusAsync(page, "POST", path + "defaults", $"Host: {host}", header));
    }

    [Fact]
    public async Task Messages_that_are_not_parameters_are_refused_and_change_nothing()
    {
        await using RunningBench bench = await RunningBench.StartAsync(Layout);
        using var client = new HttpClient();
        var parameters = new Uri(bench.Address, "parameters");
        foreach ((string text, string type) in new[] { ("{\"columns\":\"3\"}", "text/plain"), ("not json", "application/json"), ("[1]", "application/json"), ("null", "application/json") })
        {
            using var content = new StringContent(text, Encoding.UTF8, type);
            using HttpResponseMessage answer = await client.PostAsync(parameters, content, TestContext.Current.CancellationToken);
            Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        }
        using var tooLong = new StringContent("{\"columns\":\"" + new string('3', 100_000) + "\"}", Encoding.UTF8, "application/json");
        using HttpResponseMessage refused = await client.PostAsync(parameters, tooLong, TestContext.Current.CancellationToken);
        Assert.False(refused.IsSuccessStatusCode);

        JsonElement state = await StateAsync(bench);
        Assert.Equal(1, state.GetProperty("number").GetInt32());
    }

    [Fact]
    public async Task Every_answer_forbids_what_comes_from_elsewhere()
    {
        await using RunningBench bench = await RunningBench.StartAsync(Layout);
        using var client = new HttpClient();
        foreach (string asset in new[] { "", "bench.css", "bench.js" })
        {
            using HttpResponseMessage answer = await client.GetAsync(new Uri(bench.Address, asset), TestContext.Current.CancellationToken);
            string policy = answer.Headers.GetValues("Content-Security-Policy").Single();
            Assert.StartsWith("default-src 'none';", policy, StringComparison.Ordinal);
            Assert.DoesNotContain("unsafe", policy, StringComparison.Ordinal);
            Assert.Equal(["no-referrer"], answer.Headers.GetValues("Referrer-Policy"));
            Assert.True(answer.Headers.CacheControl!.NoStore);
            // Only the name of the SVG namespace looks like an address.
            string text = (await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).Replace("http://www.w3.org/2000/svg", "", StringComparison.Ordinal);
            Assert.DoesNotContain("http", text, StringComparison.Ordinal);
            Assert.DoesNotContain("//", text.Replace("// ", "", StringComparison.Ordinal), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task It_listens_on_the_loopback_address_alone()
    {
        if (!OperatingSystem.IsLinux())
            Assert.Skip("The open ports of a process are read from /proc.");
        await using RunningBench bench = await RunningBench.StartAsync(Layout);
        string port = bench.Address.Port.ToString("X4", CultureInfo.InvariantCulture);
        HashSet<string> sockets = [.. new DirectoryInfo($"/proc/{bench.ProcessId}/fd").EnumerateFileSystemInfos().Select(link => link.LinkTarget ?? "")];
        // Fields of /proc/net/tcp: number, local address, remote address, state (0A: listening), …, inode in field 9.
        string[][] listening = [.. new[] { "tcp", "tcp6" }.SelectMany(file => File.ReadLines($"/proc/{bench.ProcessId}/net/{file}").Skip(1))
            .Select(line => line.Split(' ', StringSplitOptions.RemoveEmptyEntries))
            .Where(fields => fields[3] == "0A" && sockets.Contains($"socket:[{fields[9]}]"))];

        Assert.Equal(["0100007F:" + port], listening.Select(fields => fields[1]));
    }

    [Fact]
    public async Task It_tells_its_address_to_machines_once_and_ends_with_the_interruption()
    {
        await using RunningBench bench = await RunningBench.StartAsync([.. Layout, "--json"]);
        // A page that is being served must not hold up the end.
        using var client = new HttpClient();
        using Stream events = await client.GetStreamAsync(new Uri(bench.Address, "events"), TestContext.Current.CancellationToken);

        Run run = await bench.InterruptAsync();

        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Equal("serving", run.Json.GetProperty("verdict").GetString());
        Assert.Equal(bench.Address.AbsoluteUri, run.Json.GetProperty("data").GetProperty("address").GetString());
        Assert.Equal(bench.Address.Port, run.Json.GetProperty("data").GetProperty("port").GetInt32());
    }

    [Fact]
    public async Task A_port_that_is_taken_is_bad_input()
    {
        using var taken = new TcpListener(IPAddress.Loopback, 0);
        taken.Start();
        int port = ((IPEndPoint)taken.LocalEndpoint).Port;

        Run run = await Imbrex.RunAsync(["bench", .. Layout, "--port", port.ToString(CultureInfo.InvariantCulture)]);

        Assert.Equal(1, run.ExitCode);
        Assert.Contains($"Port {port} of 127.0.0.1 cannot be opened.", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("70000", "--port is 70000.")]
    [InlineData("-1", "--port is -1.")]
    public async Task A_port_that_does_not_exist_is_bad_input(string port, string message)
    {
        Run run = await Imbrex.RunAsync(["bench", .. Layout, "--port", port]);

        Assert.Equal(1, run.ExitCode);
        Assert.Contains(message, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Two_benches_have_two_tokens()
    {
        await using RunningBench one = await RunningBench.StartAsync(Layout);
        await using RunningBench other = await RunningBench.StartAsync(Layout);

        Assert.NotEqual(one.Address.AbsolutePath, other.Address.AbsolutePath);
    }

    private static async Task<JsonElement> StateAsync(RunningBench bench)
    {
        using var client = new HttpClient();
        using Stream stream = await client.GetStreamAsync(new Uri(bench.Address, "events"), TestContext.Current.CancellationToken);
        using var reader = new StreamReader(stream);
        string line = (await reader.ReadLineAsync(TestContext.Current.CancellationToken))!;
        return JsonDocument.Parse(line["data: ".Length..]).RootElement;
    }

    // By hand, so that headers go out exactly as they stand here.
    private static async Task<int> StatusAsync(Uri page, string method, string path, params string[] headers)
    {
        using var client = new TcpClient();
        await client.ConnectAsync(IPAddress.Loopback, page.Port, TestContext.Current.CancellationToken);
        using NetworkStream stream = client.GetStream();
        string request = $"{method} {path} HTTP/1.1\r\n{string.Join("\r\n", headers)}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n";
        await stream.WriteAsync(Encoding.ASCII.GetBytes(request), TestContext.Current.CancellationToken);
        using var reader = new StreamReader(stream);
        string status = (await reader.ReadLineAsync(TestContext.Current.CancellationToken))!;
        return int.Parse(status.Split(' ')[1], CultureInfo.InvariantCulture);
    }
}
