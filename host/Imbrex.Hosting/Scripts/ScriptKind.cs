using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>What a script may do.</summary>
public enum ScriptKind
{
    /// <summary>Pure geometry: places tiles.</summary>
    Layout,

    /// <summary>Automation with the user's own rights.</summary>
    Batch,
}

/// <summary>The surroundings of each kind of script.</summary>
internal static class ScriptKinds
{
    /// <summary>The type whose members are in scope.</summary>
    public static Type Globals(this ScriptKind kind) => kind == ScriptKind.Layout ? typeof(LayoutScript) : typeof(BatchScript);

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

    /// <summary>Simple names of the framework assemblies in sight.</summary>
    public static IReadOnlyList<string> Framework(this ScriptKind kind) => kind == ScriptKind.Layout ? Geometry : [.. Geometry, .. Automation];

    private static readonly string[] Geometry = ["System.Private.CoreLib", "System.Runtime", "System.Collections", "System.Linq"];

    private static readonly string[] Automation =
    [
        "System.Collections.Concurrent", "System.Collections.Immutable", "System.Console", "System.Diagnostics.Process", "System.IO.Compression",
        "System.Net.Http", "System.Net.Primitives", "System.Private.Uri", "System.Security.Cryptography", "System.Text.Json",
        "System.Text.RegularExpressions", "System.Threading", "System.Xml.ReaderWriter", "System.Private.Xml", "System.Private.Xml.Linq",
        "System.Xml.XDocument",
    ];
}
