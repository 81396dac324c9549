using System.Diagnostics;
using System.Globalization;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>The program, as it is started as a child of itself.</summary>
/// <param name="Host">The file that the system starts: the program's own, or <c>dotnet</c>.</param>
/// <param name="Assembly">The program's assembly.</param>
internal sealed record ChildProgram(string Host, string Assembly)
{
    // What a child that runs scripts needs of the program's folder: not the compiler, not the engine, no plugin.
    private static readonly string[] Runner = ["Imbrex.Hosting.dll", "Imbrex.Sdk.dll"];

    private static readonly string[] SystemLibraries = ["/lib", "/lib64", "/usr/lib", "/usr/lib64", "/nix/store", "/gnu/store"];

    private static readonly string[] SystemFiles = ["/etc/ld.so.cache", "/etc/ssl/openssl.cnf", "/dev/null", "/dev/urandom"];

    // The runtime measures its main thread's stack, the memory and the processors here when it starts, and never again.
    private static readonly string[] Measures = ["/proc", "/sys/devices/system", "/sys/fs/cgroup"];

    /// <summary>The running program.</summary>
    public static ChildProgram Running { get; } = new(Environment.ProcessPath!, System.Reflection.Assembly.GetEntryAssembly()!.Location);

    private bool IsMuxer => Path.GetFileNameWithoutExtension(Host).Equals("dotnet", StringComparison.OrdinalIgnoreCase);

    private string Folder => Path.GetDirectoryName(Assembly)!;

    // shared/Microsoft.NETCore.App/VERSION lies in the runtime's root.
    private static string Runtime => Path.GetFullPath(Path.Combine(ScriptKinds.FrameworkFolder, "..", "..", ".."));

    /// <summary>What to start for a role.</summary>
    public ProcessStartInfo StartInfo(ChildRole role, bool landlock)
    {
        var start = new ProcessStartInfo(Host)
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
            CreateNoWindow = true,
            WorkingDirectory = ScriptKinds.FrameworkFolder,
        };
        if (IsMuxer)
            start.ArgumentList.Add(Assembly);
        start.ArgumentList.Add(ScriptChild.Word);
        start.ArgumentList.Add(role.ToString());
        SetEnvironment(start.Environment, role, landlock);
        return start;
    }

    // The user's own variables may hold secrets, and some change how the runtime runs.
    private static void SetEnvironment(IDictionary<string, string?> environment, ChildRole role, bool landlock)
    {
        string[] kept = ["DOTNET_ROOT", "DOTNET_ROOT_X64", "DOTNET_ROOT_ARM64", "SystemRoot", "LD_LIBRARY_PATH"];
        foreach (string name in environment.Keys.Where(name => !kept.Contains(name)).ToArray())
            environment.Remove(name);
        environment.TryAdd("DOTNET_ROOT", Runtime);
        environment["DOTNET_GCHeapHardLimit"] = ChildLimits.Of(role).Heap.ToString("X", CultureInfo.InvariantCulture);
        environment["DOTNET_EnableDiagnostics"] = "0";
        // Pages that are either writable or executable need a file in memory, and take longer to start with.
        environment["DOTNET_EnableWriteXorExecute"] = "0";
        environment["DOTNET_TieredPGO"] = "0";
        environment["DOTNET_NOLOGO"] = "1";
        if (landlock)
            environment[Confinement.LandlockMark] = "1";
    }

    /// <summary>What a child may read while it starts.</summary>
    public IEnumerable<string> ReadableAtStart(ChildRole role) => [.. Readable(role), .. Measures];

    /// <summary>What a child may read once it runs.</summary>
    public IEnumerable<string> Readable(ChildRole role)
    {
        string name = Path.GetFileNameWithoutExtension(Assembly);
        IEnumerable<string> own = role == ChildRole.Compile || Folder == Path.TrimEndingDirectorySeparator(ScriptKinds.FrameworkFolder)
            ? [Folder]
            : [Assembly, .. Runner.Append(name + ".deps.json").Append(name + ".runtimeconfig.json").Select(file => Path.Combine(Folder, file))];
        return [.. own, Path.Combine(Runtime, "shared"), Path.Combine(Runtime, "host"), .. SystemFiles, .. SystemLibraries];
    }

    /// <summary>What a child may execute: itself and the system's loader.</summary>
    public IEnumerable<string> Programs => [Host, .. SystemLibraries];
}
