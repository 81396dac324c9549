using System.Collections.Concurrent;
using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;
using Microsoft.CodeAnalysis;

namespace Imbrex.Hosting.Scripts;

/// <summary>The assemblies that a script is compiled against: the SDK and named ones of the framework, nothing else.</summary>
internal static class ScriptReferences
{
    // Roslyn keeps what it has read of an assembly with the reference: a script that is compiled again finds it there.
    private static readonly ConcurrentDictionary<(ScriptKind, bool), MetadataReference[]> Read = new();

    public static IReadOnlyList<MetadataReference> For(ScriptKind kind, bool trimmed) => Read.GetOrAdd((kind, trimmed), static asked =>
        [.. Paths(asked.Item1).Select(path => asked.Item2 ? TrimmedReference.Of(path, AllowList.Shared) : MetadataReference.CreateFromFile(path))]);

    /// <summary>The files of the assemblies.</summary>
    public static IEnumerable<string> Paths(ScriptKind kind) =>
        [typeof(SdkContract).Assembly.Location, .. kind.Framework().Select(name => Path.Combine(ScriptKinds.FrameworkFolder, name + ".dll"))];
}
