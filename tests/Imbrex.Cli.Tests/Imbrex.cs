using System.Diagnostics;
using System.Reflection;
using System.Text.Json;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Trust;

namespace Imbrex.Cli.Tests;

/// <summary>The built program, run as its users run it.</summary>
internal static class Imbrex
{
    /// <summary>The program's main assembly; the build writes its place into the tests.</summary>
    public static string Program { get; } = typeof(Imbrex).Assembly.GetCustomAttributes<AssemblyMetadataAttribute>().Single(data => data.Key == "Program").Value!;

    /// <summary>The fixture plugins, laid out beside the tests by the build.</summary>
    public static string FixturePlugins { get; } = Path.Combine(AppContext.BaseDirectory, "plugins");

    /// <summary>Root of the working copy.</summary>
    public static string Repository { get; } = FindRepository(AppContext.BaseDirectory);

    /// <summary>Runs the program to its end, with no plugins but its own unless told otherwise.</summary>
    public static Task<Run> RunAsync(params string[] arguments) => RunAsync([], arguments);

    /// <summary>Runs the program with some environment variables set.</summary>
    public static Task<Run> RunAsync((string Name, string Value)[] environment, params string[] arguments) => EndAsync(Start(environment, arguments));

    /// <summary>Runs the program in a folder.</summary>
    public static Task<Run> RunInAsync(string folder, params string[] arguments) => RunInAsync(folder, [], arguments);

    /// <summary>Runs the program in a folder with some environment variables set.</summary>
    public static Task<Run> RunInAsync(string folder, (string Name, string Value)[] environment, params string[] arguments) => EndAsync(Start(environment, arguments, folder));

    private static async Task<Run> EndAsync(Process started)
    {
        using Process process = started;
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        Task<string> error = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        return new(process.ExitCode, await output, await error);
    }

    /// <summary>Starts the program and returns at once.</summary>
    public static Process Start((string Name, string Value)[] environment, string[] arguments, string? folder = null)
    {
        var start = new ProcessStartInfo("dotnet", [Program, .. arguments])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = folder ?? Repository,
            Environment =
            {
                ["IMBREX_PLUGINS"] = "/no/such/folder",
                ["IMBREX_CACHE"] = Cache,
                ["IMBREX_TRUST"] = OfItsOwn(),
                ["IMBREX_PACKAGES"] = OfItsOwn(),
                ["IMBREX_KEYS"] = OfItsOwn(),
            },
        };
        foreach ((string name, string value) in environment)
            start.Environment[name] = value;
        return Process.Start(start)!;
    }

    private static string Cache { get; } = Path.Combine(AppContext.BaseDirectory, "script-cache");

    // For each start: what is trusted or installed must not depend on another test.
    private static string OfItsOwn() => Path.Combine(AppContext.BaseDirectory, "trust", Guid.NewGuid().ToString("n"));

    /// <summary>A file of trust in which the fixture plugins have been said yes to.</summary>
    public static (string Name, string Value) FixturesTrusted { get; } = ("IMBREX_TRUST", TrustFixtures());

    /// <summary>Plugins that hang, throw or give back nothing, laid out by the build in a folder of their own.</summary>
    public static string MisbehavingPlugins { get; } = Path.Combine(AppContext.BaseDirectory, "misbehaving");

    private static string TrustFixtures()
    {
        var store = TrustStore.Open(OfItsOwn() + ".json");
        foreach (PluginFile plugin in new[] { FixturePlugins, Path.Combine(AppContext.BaseDirectory, "misbehaving") }.SelectMany(folder => new PluginFolder(folder).Files()))
        {
            var loose = LoosePlugin.Of(plugin, store);
            store.Trust(new TrustedFile(loose.Name, loose.Sha256));
        }
        return store.Path!;
    }

    private static string FindRepository(string folder) =>
        File.Exists(Path.Combine(folder, "Imbrex.slnx")) ? folder : FindRepository(Path.GetDirectoryName(folder)!);
}

/// <summary>What a run of the program left behind.</summary>
internal sealed record Run(int ExitCode, string Output, string Error)
{
    /// <summary>The one object that <c>--json</c> prints.</summary>
    public JsonElement Json => JsonDocument.Parse(Output).RootElement;
}
