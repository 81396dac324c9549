using System.Collections.Immutable;
using System.Text;
using Imbrex.Hosting.Scripts.Gates;
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
    private readonly ScriptLayers _layers;

    /// <summary>A compiler that lets nothing through which the allow-list does not hold.</summary>
    public RoslynScriptCompiler() : this(ScriptLayers.All)
    {
    }

    internal RoslynScriptCompiler(ScriptLayers layers) => _layers = layers;

    /// <summary>The compiler's name and version, for people.</summary>
    public static string Version { get; } = $"Roslyn {typeof(CSharpCompilation).Assembly.GetName().Version!.ToString(3)}";

    public CompiledScript Compile(ScriptSource source, ScriptKind kind) => Compile(source, kind, "script");

    // Roslyn gives every submission a name of its own; one name for all makes the same text the same bytes.
    internal CompiledScript Compile(ScriptSource source, ScriptKind kind, string assemblyName)
    {
        // A batch script has the user's own rights: there is nothing to keep from it.
        ScriptLayers layers = kind.IsConfined() ? _layers : ScriptLayers.None;
        if (layers.HasFlag(ScriptLayers.Text))
            TextGate.Check(source);
        Compilation compilation = Prepare(source, kind, layers).WithAssemblyName(assemblyName);
        SyntaxTree tree = compilation.SyntaxTrees.Single();
        RefuseDirectives(source, tree);
        RefuseEmpty(source, tree);
        if (layers.HasFlag(ScriptLayers.Syntax) && !tree.GetDiagnostics().Any(IsError))
            new SyntaxGate(source, AllowList.Shared).Check(tree);
        CompiledScript compiled = Emit(source, kind, compilation, layers);
        if (layers.HasFlag(ScriptLayers.Metadata) && MetadataGate.Refuse(compiled.Assembly, AllowList.Shared) is { } refused)
            throw GateRefusals.InMetadata(source, refused);
        return compiled;
    }

    private static CompiledScript Emit(ScriptSource source, ScriptKind kind, Compilation compilation, ScriptLayers layers)
    {
        // What is written wrongly is told first, in the compiler's words; then what it means, before anything is built of it.
        if (layers.HasFlag(ScriptLayers.Symbols))
        {
            new SymbolGate(source, compilation, AllowList.Shared).Check();
        }
        using var assembly = new MemoryStream();
        using var symbols = new MemoryStream();
        EmitResult result = compilation.Emit(assembly, symbols, options: new EmitOptions(debugInformationFormat: DebugInformationFormat.PortablePdb));
        Diagnostic[] errors = [.. result.Diagnostics.Where(IsError).OrderBy(d => d.Location.SourceSpan.Start)];
        if (errors.Length > 0)
            throw layers.HasFlag(ScriptLayers.References) && Hidden(source, errors[0]) is { } hidden ? hidden : Error(source, errors, Remedy(errors[0], layers));
        return new(source, kind, assembly.ToArray(), symbols.ToArray());
    }

    private static bool IsError(Diagnostic diagnostic) => diagnostic.Severity == DiagnosticSeverity.Error;

    private static Compilation Prepare(ScriptSource source, ScriptKind kind, ScriptLayers layers)
    {
        ScriptOptions options = ScriptOptions.Default
            .WithMetadataResolver(NoReferences.Instance)
            .WithSourceResolver(NoFiles.Instance)
            .WithReferences(ScriptReferences.For(kind, trimmed: layers.HasFlag(ScriptLayers.References)))
            .WithImports(kind.Imports())
            .WithLanguageVersion(LanguageVersion.CSharp14)
            .WithOptimizationLevel(OptimizationLevel.Release)
            .WithAllowUnsafe(false)
            .WithFilePath(LoadedScript.DocumentName)
            .WithFileEncoding(Encoding.UTF8);
        Compilation compilation = CSharpScript.Create(source.Text, options, kind.Globals()).GetCompilation();
        return compilation.WithOptions(((CSharpCompilationOptions)compilation.Options).WithDeterministic(true));
    }

    // The cache knows one file by its bytes; a script that pulls in others would escape it.
    private static void RefuseDirectives(ScriptSource source, SyntaxTree tree)
    {
        var root = (CompilationUnitSyntax)tree.GetRoot();
        DirectiveTriviaSyntax? first = root.GetReferenceDirectives().Concat<DirectiveTriviaSyntax>(root.GetLoadDirectives()).FirstOrDefault();
        if (first is not null)
        {
            string word = first is ReferenceDirectiveTriviaSyntax ? "#r" : "#load";
            throw new InputException($"A script may not use {word}.", source.Place(first.GetLocation()), "Put everything into this file, or make a plugin of it.");
        }
    }

    // Roslyn emits an entry point without a body for a script that says nothing.
    private static void RefuseEmpty(ScriptSource source, SyntaxTree tree)
    {
        var root = (CompilationUnitSyntax)tree.GetRoot();
        if (root.Members.Count == 0 && !tree.GetDiagnostics().Any())
            throw new InputException("The script is empty.", source.Path, "Write at least one statement; scripts/layouts and scripts/adapters have examples.");
    }

    // A name that the trimmed references hide does not resolve: the compiler says so, and the list what to write instead.
    private static InputException? Hidden(ScriptSource source, Diagnostic error)
    {
        if (error.Id is not ("CS0103" or "CS0122" or "CS0117" or "CS0234" or "CS0246" or "CS1061" or "CS1069" or "CS1070") || error.Location.SourceTree is not { } tree)
            return null;
        string name = tree.GetText().ToString(error.Location.SourceSpan).Split('.', '<', '(')[^1].Trim();
        string simple = tree.GetRoot().FindNode(error.Location.SourceSpan) is SimpleNameSyntax node ? node.Identifier.ValueText : name;
        return error.Id == "CS0122" || AllowList.Shared.HasInstead(simple)
            ? GateRefusals.NotAllowed(source, error.Location, $"'{simple}'", AllowList.Shared.Instead(simple))
            : null;
    }

    // The list may have a sentence for a name in the expression that does not compile: for the network where it stands before a type of it.
    private static string Remedy(Diagnostic error, ScriptLayers layers)
    {
        const string usual = "Correct the line.";
        if (!layers.HasFlag(ScriptLayers.References) || error.Location.SourceTree is not { } tree)
            return usual;
        SyntaxNode node = tree.GetRoot().FindNode(error.Location.SourceSpan);
        while (node.Parent is MemberAccessExpressionSyntax or NameSyntax or ObjectCreationExpressionSyntax or UsingDirectiveSyntax)
            node = node.Parent;
        string? known = node.DescendantTokens().Where(token => token.IsKind(SyntaxKind.IdentifierToken)).Select(token => token.ValueText).FirstOrDefault(AllowList.Shared.HasInstead);
        return known is not null ? AllowList.Shared.Instead(known)
            : error.Id is "CS0117" or "CS0234" or "CS0246" or "CS1061" or "CS1501" or "CS1729" ? $"{usual} A name that is spelt rightly and not found is not for layout and adapter scripts."
            : usual;
    }

    private static InputException Error(ScriptSource source, Diagnostic[] errors, string remedy)
    {
        Diagnostic first = errors[0];
        string more = errors.Length == 1 ? "" : $" ({errors.Length - 1} more follow)";
        return new($"The script does not compile: {first.Id}: {first.GetMessage()}{more}", source.Place(first.Location), remedy);
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
