using Imbrex.Sdk;
using Microsoft.CodeAnalysis;

namespace Imbrex.Hosting.Scripts;

/// <summary>The assemblies that a script is compiled against: the SDK and named ones of the framework, nothing else.</summary>
internal static class ScriptReferences
{
    public static IEnumerable<MetadataReference> For(ScriptKind kind) => Paths(kind).Select(path => MetadataReference.CreateFromFile(path));

    private static IEnumerable<string> Paths(ScriptKind kind) =>
        [typeof(SdkContract).Assembly.Location, .. kind.Framework().Select(name => Path.Combine(ScriptKinds.FrameworkFolder, name + ".dll"))];
}
