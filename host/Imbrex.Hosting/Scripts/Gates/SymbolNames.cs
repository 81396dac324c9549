using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.Text;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>Names and places as the allow-list and a reader want them.</summary>
internal static class SymbolNames
{
    /// <summary>A type's name in metadata, nested ones after a plus sign.</summary>
    public static string InMetadata(this INamedTypeSymbol type)
    {
        INamedTypeSymbol definition = type.OriginalDefinition;
        if (definition.ContainingType is { } outer)
            return $"{InMetadata(outer)}+{definition.MetadataName}";
        return definition.ContainingNamespace is { IsGlobalNamespace: false } space ? $"{space.ToDisplayString()}.{definition.MetadataName}" : definition.MetadataName;
    }

    /// <summary>The simple names of a method's parameter types, as signatures in the allow-list have them.</summary>
    public static string Parameters(this IMethodSymbol method) => string.Join(',', method.OriginalDefinition.Parameters.Select(parameter =>
        Simple(parameter.Type) + (parameter.RefKind == RefKind.None ? "" : "&")));

    private static string Simple(ITypeSymbol type) => type switch
    {
        IArrayTypeSymbol { Rank: 1 } array => Simple(array.ElementType) + "[]",
        IArrayTypeSymbol array => Simple(array.ElementType) + "[,]",
        ITypeParameterSymbol => "T",
        _ => type.Name,
    };

    /// <summary>A place for people.</summary>
    public static string Place(this ScriptSource source, Location location)
    {
        if (!location.IsInSource)
            return source.Path;
        LinePosition start = location.GetLineSpan().StartLinePosition;
        return source.Place(start.Line + 1, start.Character + 1);
    }
}
