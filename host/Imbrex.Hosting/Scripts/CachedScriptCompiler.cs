using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Security.Cryptography;
using System.Text;
using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// Remembers compiled scripts. The key covers all that the result depends on: the script's bytes, its kind, the SDK and the host to the
/// very build, the compiler's version, the allow-list, and the assemblies it is compiled against.
/// </summary>
public sealed class CachedScriptCompiler(IScriptCompiler compiler, ScriptCache cache) : IScriptCompiler
{
    public CompiledScript Compile(ScriptSource source, ScriptKind kind)
    {
        string key = Key(source, kind);
        // A file of another's making may be whole and hold anything: what is read from the cache goes through the gate like what comes from the compiler.
        if (cache.Find(key) is { } found && (!kind.IsConfined() || MetadataGate.Refuse(found.Assembly, AllowList.Shared) is null))
            return new(source, kind, found.Assembly, found.Symbols);
        CompiledScript compiled = compiler.Compile(source, kind);
        cache.Keep(key, compiled.Assembly, compiled.Symbols);
        return compiled;
    }

    private static string Key(ScriptSource source, ScriptKind kind)
    {
        string[] parts =
        [
            source.Sha256,
            kind.ToString(),
            Build(typeof(SdkContract)),
            Build(typeof(CachedScriptCompiler)),
            Compilers.Value,
            Build(typeof(object)),
            AllowList.Shared.Sha256,
            References.Value,
            string.Join(',', kind.Framework()),
            string.Join(',', kind.Imports()),
        ];
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(string.Join('\n', parts))));
    }

    // The compiler's own builds, read from their files: to load them takes longer than all the rest, and a script that is remembered needs no compiler.
    private static readonly Lazy<string> Compilers = new(() => string.Join(' ', new[] { "Microsoft.CodeAnalysis.dll", "Microsoft.CodeAnalysis.CSharp.dll" }
        .Select(name => BuildOfFile(Path.Combine(Path.GetDirectoryName(typeof(CachedScriptCompiler).Assembly.Location)!, name)))));

    // The assemblies that a layout or adapter is compiled against, by their builds. Those of a batch are the framework's, whose own build stands for them.
    private static readonly Lazy<string> References = new(() => string.Join(' ', ScriptReferences.Paths(ScriptKind.Layout).Select(BuildOfFile)));

    private static string BuildOfFile(string path)
    {
        using var image = new PEReader(File.OpenRead(path));
        MetadataReader metadata = image.GetMetadataReader();
        return metadata.GetGuid(metadata.GetModuleDefinition().Mvid).ToString();
    }

    // The module's id changes with every change of its code, the version only when somebody remembers to.
    internal static string Build(Type type) => $"{type.Assembly.FullName} {type.Module.ModuleVersionId}";
}
