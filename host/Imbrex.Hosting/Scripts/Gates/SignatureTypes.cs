using System.Collections.Immutable;
using System.Reflection.Metadata;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>A type in a signature: its simple name, and whether every type in it is listed.</summary>
internal sealed record SignatureType(string Name, bool IsKnown)
{
    public static SignatureType Unknown(string name) => new(name, false);
}

/// <summary>Reads signatures against the allow-list. Pointers, function pointers and typed references are never known.</summary>
internal class SignatureTypes(AllowList list) : ISignatureTypeProvider<SignatureType, object?>
{
    public SignatureType GetPrimitiveType(PrimitiveTypeCode typeCode) => new(typeCode.ToString(), typeCode is not PrimitiveTypeCode.TypedReference);

    public virtual SignatureType GetTypeFromDefinition(MetadataReader reader, TypeDefinitionHandle handle, byte rawTypeKind)
    {
        string name = MetadataNames.Of(reader, handle);
        return new(Simple(name), list.KnowsType(name));
    }

    public SignatureType GetTypeFromReference(MetadataReader reader, TypeReferenceHandle handle, byte rawTypeKind)
    {
        string name = MetadataNames.Of(reader, handle);
        return new(Simple(name), list.KnowsType(name));
    }

    public SignatureType GetTypeFromSpecification(MetadataReader reader, object? genericContext, TypeSpecificationHandle handle, byte rawTypeKind) =>
        reader.GetTypeSpecification(handle).DecodeSignature(this, genericContext);

    public SignatureType GetSZArrayType(SignatureType elementType) => elementType with { Name = elementType.Name + "[]" };

    public SignatureType GetArrayType(SignatureType elementType, ArrayShape shape) => elementType with { Name = elementType.Name + "[,]" };

    public SignatureType GetByReferenceType(SignatureType elementType) => elementType with { Name = elementType.Name + "&" };

    public SignatureType GetPointerType(SignatureType elementType) => SignatureType.Unknown(elementType.Name + "*");

    public SignatureType GetPinnedType(SignatureType elementType) => SignatureType.Unknown(elementType.Name);

    public SignatureType GetFunctionPointerType(MethodSignature<SignatureType> signature) => SignatureType.Unknown("delegate*");

    public SignatureType GetGenericInstantiation(SignatureType genericType, ImmutableArray<SignatureType> typeArguments) =>
        genericType with { IsKnown = genericType.IsKnown && typeArguments.All(argument => argument.IsKnown) };

    public SignatureType GetGenericMethodParameter(object? genericContext, int index) => new("T", true);

    public SignatureType GetGenericTypeParameter(object? genericContext, int index) => new("T", true);

    // A modifier is a type of the compiler's that marks a parameter, such as 'in'.
    public SignatureType GetModifiedType(SignatureType modifier, SignatureType unmodifiedType, bool isRequired) =>
        unmodifiedType with { IsKnown = unmodifiedType.IsKnown && modifier.IsKnown };

    private static string Simple(string name) => name[(name.LastIndexOfAny(['.', '+']) + 1)..].Split('`')[0];
}

/// <summary>The full name of the type that a specification is made of, or null where it is an array or a parameter.</summary>
internal sealed class GenericNames : ISignatureTypeProvider<string?, object?>
{
    public string? GetPrimitiveType(PrimitiveTypeCode typeCode) => "System." + typeCode;

    public string? GetTypeFromDefinition(MetadataReader reader, TypeDefinitionHandle handle, byte rawTypeKind) => null;

    public string? GetTypeFromReference(MetadataReader reader, TypeReferenceHandle handle, byte rawTypeKind) => MetadataNames.Of(reader, handle);

    public string? GetTypeFromSpecification(MetadataReader reader, object? genericContext, TypeSpecificationHandle handle, byte rawTypeKind) => null;

    public string? GetSZArrayType(string? elementType) => null;

    public string? GetArrayType(string? elementType, ArrayShape shape) => null;

    public string? GetByReferenceType(string? elementType) => null;

    public string? GetPointerType(string? elementType) => null;

    public string? GetPinnedType(string? elementType) => null;

    public string? GetFunctionPointerType(MethodSignature<string?> signature) => null;

    public string? GetGenericInstantiation(string? genericType, ImmutableArray<string?> typeArguments) => genericType;

    public string? GetGenericMethodParameter(object? genericContext, int index) => null;

    public string? GetGenericTypeParameter(object? genericContext, int index) => null;

    public string? GetModifiedType(string? modifier, string? unmodifiedType, bool isRequired) => unmodifiedType;
}

/// <summary>Full names of types in metadata, nested ones after a plus sign.</summary>
internal static class MetadataNames
{
    // Deeper nesting than the framework's own types have; a circle in damaged metadata ends here.
    private const int MostNested = 8;

    public static string Of(MetadataReader reader, TypeDefinitionHandle handle)
    {
        TypeDefinition type = reader.GetTypeDefinition(handle);
        string name = Joined(reader, type.Namespace, type.Name);
        for (int depth = 0; type.GetDeclaringType() is { IsNil: false } outer; depth++)
        {
            if (depth == MostNested)
                throw new BadImageFormatException();
            type = reader.GetTypeDefinition(outer);
            name = $"{Joined(reader, type.Namespace, type.Name)}+{name}";
        }
        return name;
    }

    public static string Of(MetadataReader reader, TypeReferenceHandle handle)
    {
        TypeReference type = reader.GetTypeReference(handle);
        string name = Joined(reader, type.Namespace, type.Name);
        for (int depth = 0; type.ResolutionScope.Kind == HandleKind.TypeReference; depth++)
        {
            if (depth == MostNested)
                throw new BadImageFormatException();
            type = reader.GetTypeReference((TypeReferenceHandle)type.ResolutionScope);
            name = $"{Joined(reader, type.Namespace, type.Name)}+{name}";
        }
        return name;
    }

    /// <summary>The resolution scope of the outermost type.</summary>
    public static EntityHandle Scope(MetadataReader reader, TypeReferenceHandle handle)
    {
        EntityHandle scope = reader.GetTypeReference(handle).ResolutionScope;
        for (int depth = 0; scope.Kind == HandleKind.TypeReference; depth++)
        {
            if (depth == MostNested)
                throw new BadImageFormatException();
            scope = reader.GetTypeReference((TypeReferenceHandle)scope).ResolutionScope;
        }
        return scope;
    }

    private static string Joined(MetadataReader reader, StringHandle space, StringHandle name) =>
        space.IsNil ? reader.GetString(name) : $"{reader.GetString(space)}.{reader.GetString(name)}";
}
