using System.Collections.Immutable;
using System.Text;
using Imbrex.Sdk;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Scripting;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Microsoft.CodeAnalysis.Emit;
using Microsoft.CodeAnalysis.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// Compiles scripts with Roslyn. The compilation is emitted to bytes and never run by Roslyn itself, whose script assemblies cannot
/// be unloaded (dotnet/roslyn issues 31751 and 41722).
/// </summary>
public sealed class RoslynScriptCompiler : IScriptCompiler
{
    /// <summary>The name under which debug symbols know every script: where the file lies must not change what is compiled.</summary>
    internal const string DocumentName = "script.csx";

    /// <summary>The compiler's name and version, for people.</summary>
    public static string Version { get; } = $"Roslyn {typeof(CSharpCompilation).Assembly.GetName().Version!.ToString(3)}";

    public CompiledScript Compile(ScriptSource source, ScriptKind kind)
    {
        Compilation compilation = Prepare(source, kind);
        RefuseDirectives(source, compilation.SyntaxTrees.Single());
        RefuseEmpty(source, compilation.SyntaxTrees.Single());
        using var assembly = new MemoryStream();
        using var symbols = new MemoryStream();
        EmitResult result = compilation.Emit(assembly, symbols, options: new EmitOptions(debugInformationFormat: DebugInformationFormat.PortablePdb));
        Diagnostic[] errors = [.. result.Diagnostics.Where(d => d.Severity == DiagnosticSeverity.Error).OrderBy(d => d.Location.SourceSpan.Start)];
        if (errors.Length > 0)
            throw Error(source, errors);
        return new(source, kind, assembly.ToArray(), symbols.ToArray());
    }

    private static Compilation Prepare(ScriptSource source, ScriptKind kind)
    {
        ScriptOptions options = ScriptOptions.Default
            .WithMetadataResolver(NoReferences.Instance)
            .WithSourceResolver(NoFiles.Instance)
            .WithReferences(ScriptReferences.For(kind))
            .WithImports(kind.Imports())
            .WithLanguageVersion(LanguageVersion.CSharp14)
            .WithOptimizationLevel(OptimizationLevel.Release)
            .WithAllowUnsafe(false)
            .WithFilePath(DocumentName)
            .WithFileEncoding(Encoding.UTF8);
        Compilation compilation = CSharpScript.Create(source.Text, options, kind.Globals()).GetCompilation();
        // Roslyn gives every submission a name of its own; one name for all makes the same text the same bytes.
        return compilation.WithAssemblyName("script").WithOptions(((CSharpCompilationOptions)compilation.Options).WithDeterministic(true));
    }

    // The cache knows one file by its bytes; a script that pulls in others would escape it.
    private static void RefuseDirectives(ScriptSource source, SyntaxTree tree)
    {
        var root = (CompilationUnitSyntax)tree.GetRoot();
        DirectiveTriviaSyntax? first = root.GetReferenceDirectives().Concat<DirectiveTriviaSyntax>(root.GetLoadDirectives()).FirstOrDefault();
        if (first is not null)
        {
            string word = first is ReferenceDirectiveTriviaSyntax ? "#r" : "#load";
            throw new InputException($"A script may not use {word}.", Place(source, first.GetLocation()), "Put everything into this file, or make a plugin of it.");
        }
    }

    // Roslyn emits an entry point without a body for a script that says nothing.
    private static void RefuseEmpty(ScriptSource source, SyntaxTree tree)
    {
        var root = (CompilationUnitSyntax)tree.GetRoot();
        if (root.Members.Count == 0 && !tree.GetDiagnostics().Any())
            throw new InputException("The script is empty.", source.Path, "Write at least one statement; scripts/layouts has examples.");
    }

    private static InputException Error(ScriptSource source, Diagnostic[] errors)
    {
        Diagnostic first = errors[0];
        string more = errors.Length == 1 ? "" : $" ({errors.Length - 1} more follow)";
        return new($"The script does not compile: {first.Id}: {first.GetMessage()}{more}", Place(source, first.Location), "Correct the line.");
    }

    private static string Place(ScriptSource source, Location location)
    {
        FileLinePositionSpan span = location.GetLineSpan();
        return location.IsInSource ? source.Place(span.StartLinePosition.Line + 1, span.StartLinePosition.Character + 1) : source.Path;
    }

    private sealed class NoReferences : MetadataReferenceResolver
    {
        public static NoReferences Instance { get; } = new();

        public override ImmutableArray<PortableExecutableReference> ResolveReference(string reference, string? baseFilePath, MetadataReferenceProperties properties) => [];

        public override bool Equals(object? other) => ReferenceEquals(this, other);

        public override int GetHashCode() => 0;
    }

    private sealed class NoFiles : SourceReferenceResolver
    {
        public static NoFiles Instance { get; } = new();

        public override string? NormalizePath(string path, string? baseFilePath) => null;

        public override string? ResolveReference(string path, string? baseFilePath) => null;

        public override Stream OpenRead(string resolvedPath) => throw new FileNotFoundException();

        public override bool Equals(object? other) => ReferenceEquals(this, other);

        public override int GetHashCode() => 0;
    }
}
