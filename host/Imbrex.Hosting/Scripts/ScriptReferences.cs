using System.Collections.Concurrent;
using Imbrex.Sdk;
using Microsoft.CodeAnalysis;

namespace Imbrex.Hosting.Scripts;

/// <summary>The assemblies that a script is compiled against: the SDK and named ones of the framework, nothing else.</summary>
internal static class ScriptReferences
{
    // Roslyn keeps what it has read of an assembly with the reference: a script that is compiled again finds it there.
    private static readonly ConcurrentDictionary<ScriptKind, MetadataReference[]> Read = new();

    public static IReadOnlyList<MetadataReference> For(ScriptKind kind) =>
        Read.GetOrAdd(kind, asked => [.. Paths(asked).Select(path => MetadataReference.CreateFromFile(path))]);

    private static IEnumerable<string> Paths(ScriptKind kind) =>
        [typeof(SdkContract).Assembly.Location, .. kind.Framework().Select(name => Path.Combine(ScriptKinds.FrameworkFolder, name + ".dll"))];
}
