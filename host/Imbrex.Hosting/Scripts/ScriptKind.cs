using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>What a script may do.</summary>
public enum ScriptKind
{
    /// <summary>Pure geometry: places tiles.</summary>
    Layout,

    /// <summary>Pure geometry: says where the carriage of a back stands.</summary>
    Adapter,

    /// <summary>Automation with the user's own rights.</summary>
    Batch,
}

/// <summary>The surroundings of each kind of script.</summary>
public static class ScriptKinds
{
    /// <summary>The type whose members are in scope.</summary>
    public static Type Globals(this ScriptKind kind) => kind switch
    {
        ScriptKind.Layout => typeof(LayoutScript),
        ScriptKind.Adapter => typeof(AdapterScript),
        _ => typeof(BatchScript),
    };

    /// <summary>Whether a stranger's script of this kind is kept behind gates and walls.</summary>
    public static bool IsConfined(this ScriptKind kind) => kind != ScriptKind.Batch;

    /// <summary>The namespaces in scope.</summary>
    public static IReadOnlyList<string> Imports(this ScriptKind kind) =>
    [
        "System",
        "System.Collections.Generic",
        "System.Linq",
        .. Sdk,
        .. kind == ScriptKind.Batch ? Files : [],
    ];

    private static readonly string[] Sdk =
    [
        "Imbrex.Sdk", "Imbrex.Sdk.Adapters", "Imbrex.Sdk.Exports", "Imbrex.Sdk.Geometry", "Imbrex.Sdk.Layouts", "Imbrex.Sdk.Parameters",
        "Imbrex.Sdk.Scripting",
    ];

    private static readonly string[] Files = ["System.IO", "System.Threading.Tasks"];

    /// <summary>Simple names of the framework assemblies in sight: a short list for layouts and adapters, all of them for batches.</summary>
    public static IReadOnlyList<string> Framework(this ScriptKind kind) => kind.IsConfined() ? Geometry : Automation.Value;

    /// <summary>The folder of the framework that this process runs on.</summary>
    public static string FrameworkFolder { get; } = Path.GetDirectoryName(typeof(object).Assembly.Location)!;

    private static readonly string[] Geometry = ["System.Private.CoreLib", "System.Runtime", "System.Collections", "System.Linq"];

    // The runtime's own list holds managed assemblies only; native libraries lie in the same folder.
    private static readonly Lazy<string[]> Automation = new(() =>
    [
        .. ((string)AppContext.GetData("TRUSTED_PLATFORM_ASSEMBLIES")!).Split(Path.PathSeparator)
            .Where(path => Path.GetDirectoryName(path) == FrameworkFolder)
            .Select(path => Path.GetFileNameWithoutExtension(path))
            .Order(StringComparer.Ordinal),
    ]);
}
