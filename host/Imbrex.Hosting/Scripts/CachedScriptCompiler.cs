using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Security.Cryptography;
using System.Text;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// Remembers compiled scripts. The key covers all that the result depends on: the script's bytes, its kind, the SDK and the host to the
/// very build, the compiler's version, and the framework it is compiled against.
/// </summary>
public sealed class CachedScriptCompiler(IScriptCompiler compiler, ScriptCache cache) : IScriptCompiler
{
    public CompiledScript Compile(ScriptSource source, ScriptKind kind)
    {
        string key = Key(source, kind);
        if (cache.Find(key) is { } found)
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
            string.Join(',', kind.Framework()),
            string.Join(',', kind.Imports()),
        ];
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(string.Join('\n', parts))));
    }

    // The compiler's own builds, read from their files: to load them takes longer than all the rest, and a script that is remembered needs no compiler.
    private static readonly Lazy<string> Compilers = new(() => string.Join(' ', new[] { "Microsoft.CodeAnalysis.dll", "Microsoft.CodeAnalysis.CSharp.dll" }.Select(BuildOfFile)));

    private static string BuildOfFile(string name)
    {
        using var image = new PEReader(File.OpenRead(Path.Combine(Path.GetDirectoryName(typeof(CachedScriptCompiler).Assembly.Location)!, name)));
        MetadataReader metadata = image.GetMetadataReader();
        return metadata.GetGuid(metadata.GetModuleDefinition().Mvid).ToString();
    }

    // The module's id changes with every change of its code, the version only when somebody remembers to.
    private static string Build(Type type) => $"{type.Assembly.FullName} {type.Module.ModuleVersionId}";
}
