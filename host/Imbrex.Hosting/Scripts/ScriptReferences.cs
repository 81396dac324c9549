using Imbrex.Sdk;
using Microsoft.CodeAnalysis;

namespace Imbrex.Hosting.Scripts;

/// <summary>The assemblies that a script is compiled against: the SDK and named ones of the framework, nothing else.</summary>
internal static class ScriptReferences
{
    public static IEnumerable<MetadataReference> For(ScriptKind kind) => Paths(kind).Select(path => MetadataReference.CreateFromFile(path));

    /// <summary>Full paths, in a fixed order.</summary>
    public static IReadOnlyList<string> Paths(ScriptKind kind)
    {
        string framework = Path.GetDirectoryName(typeof(object).Assembly.Location)!;
        return [typeof(SdkContract).Assembly.Location, .. kind.Framework().Select(name => Path.Combine(framework, name + ".dll"))];
    }
}
