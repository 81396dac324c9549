using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Reflection.PortableExecutable;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>
/// Reads a compiled script before it is loaded, and compares all that it refers to with the allow-list. It trusts neither the compiler nor
/// the cache: whatever an assembly may do stands in these tables.
/// </summary>
internal sealed class MetadataGate
{
    private const int LongestSignature = 4096;
    private const string ArrayData = "<PrivateImplementationDetails>";

    private readonly MetadataReader _reader;
    private readonly PEReader _image;
    private readonly AllowList _list;
    private readonly OwnTypes _types;

    private MetadataGate(PEReader image, AllowList list)
    {
        (_image, _reader, _list) = (image, image.GetMetadataReader(), list);
        _types = new(list);
    }

    /// <summary>Examines an assembly.</summary>
    /// <returns>What it holds that is not allowed, in words, or null where all of it is.</returns>
    public static string? Refuse(byte[] assembly, AllowList list)
    {
        try
        {
            using var image = new PEReader(new MemoryStream(assembly, writable: false));
            return new MetadataGate(image, list).Refusals().FirstOrDefault();
        }
        catch (Exception e) when (e is BadImageFormatException or InvalidOperationException or ArgumentException or ArithmeticException or IndexOutOfRangeException or IOException)
        {
            return "metadata that cannot be read";
        }
    }

    private IEnumerable<string> Refusals() =>
    [
        .. Blobs(), .. Image(), .. Tables(), .. References(), .. Types(), .. Members(), .. Signatures(), .. Attributes(), .. Bodies(),
    ];

    // A signature is read by recursion: one long enough could nest deeper than the stack.
    private IEnumerable<string> Blobs()
    {
        IEnumerable<BlobHandle> signatures =
        [
            .. _reader.FieldDefinitions.Select(handle => _reader.GetFieldDefinition(handle).Signature),
            .. _reader.MethodDefinitions.Select(handle => _reader.GetMethodDefinition(handle).Signature),
            .. _reader.MemberReferences.Select(handle => _reader.GetMemberReference(handle).Signature),
            .. Rows(TableIndex.TypeSpec).Select(row => _reader.GetTypeSpecification(MetadataTokens.TypeSpecificationHandle(row)).Signature),
            .. Rows(TableIndex.MethodSpec).Select(row => _reader.GetMethodSpecification(MetadataTokens.MethodSpecificationHandle(row)).Signature),
            .. Rows(TableIndex.StandAloneSig).Select(row => _reader.GetStandaloneSignature(MetadataTokens.StandaloneSignatureHandle(row)).Signature),
        ];
        if (signatures.Any(signature => _reader.GetBlobReader(signature).Length > LongestSignature))
            throw new BadImageFormatException();
        return [];
    }

    private IEnumerable<int> Rows(TableIndex table) => Enumerable.Range(1, _reader.GetTableRowCount(table));

    // Pure IL: no machine code, no entry point that the system would call, no resources.
    private IEnumerable<string> Image()
    {
        CorHeader header = _image.PEHeaders.CorHeader ?? throw new BadImageFormatException();
        if (!header.Flags.HasFlag(CorFlags.ILOnly) || header.Flags.HasFlag(CorFlags.NativeEntryPoint) || header.VtableFixupsDirectory.Size != 0 || header.ManagedNativeHeaderDirectory.Size != 0)
            yield return "machine code";
    }

    private static readonly (TableIndex Table, string Name)[] Never =
    [
        (TableIndex.ModuleRef, "a native library"), (TableIndex.ImplMap, "a call into a native library"), (TableIndex.FieldLayout, "fields that overlap"),
        (TableIndex.DeclSecurity, "declared permissions"), (TableIndex.File, "another file"), (TableIndex.ExportedType, "forwarded types"),
        (TableIndex.ManifestResource, "resources"), (TableIndex.FieldMarshal, "marshalled fields"), (TableIndex.Event, "events"),
    ];

    private IEnumerable<string> Tables() => Never.Where(never => _reader.GetTableRowCount(never.Table) > 0).Select(never => never.Name);

    private IEnumerable<string> References()
    {
        foreach (AssemblyReferenceHandle handle in _reader.AssemblyReferences)
        {
            string name = _reader.GetString(_reader.GetAssemblyReference(handle).Name);
            if (!_list.Assemblies.Contains(name))
                yield return $"the assembly {name}";
        }
        foreach (TypeReferenceHandle handle in _reader.TypeReferences)
        {
            string name = MetadataNames.Of(_reader, handle);
            if (MetadataNames.Scope(_reader, handle).Kind != HandleKind.AssemblyReference || !_list.KnowsType(name))
                yield return name;
        }
    }

    private IEnumerable<string> Types()
    {
        foreach (TypeDefinitionHandle handle in _reader.TypeDefinitions)
        {
            TypeDefinition type = _reader.GetTypeDefinition(handle);
            string name = MetadataNames.Of(_reader, handle);
            bool data = name.StartsWith(ArrayData, StringComparison.Ordinal);
            if (!type.GetLayout().IsDefault && !data && !IsEmptyStruct(type))
                yield return $"the layout of {name}";
            if (type.Attributes.HasFlag(TypeAttributes.ExplicitLayout) && !data)
                yield return $"the layout of {name}";
            foreach (MethodDefinitionHandle method in type.GetMethods())
            {
                if (Refuse(_reader.GetMethodDefinition(method), name) is { } refused)
                    yield return refused;
            }
        }
    }

    // A struct without fields gets the size 1, without which it would have none.
    private static bool IsEmptyStruct(TypeDefinition type) => type.GetLayout() is { Size: 1, PackingSize: 0 } && type.GetFields().Count == 0;

    private string? Refuse(MethodDefinition method, string type)
    {
        string name = _reader.GetString(method.Name);
        const MethodImplAttributes codeType = MethodImplAttributes.CodeTypeMask | MethodImplAttributes.ManagedMask | MethodImplAttributes.InternalCall | MethodImplAttributes.ForwardRef;
        bool isDelegate = (method.ImplAttributes & codeType) == MethodImplAttributes.Runtime;
        return type == "<Module>" ? "code that runs when it is loaded"
            : method.Attributes.HasFlag(MethodAttributes.PinvokeImpl) || method.Attributes.HasFlag(MethodAttributes.UnmanagedExport)
                || ((method.ImplAttributes & codeType) != 0 && !isDelegate) ? $"the native method {name}"
            : name == "Finalize" ? "a finalizer"
            : method.RelativeVirtualAddress == 0 && !method.Attributes.HasFlag(MethodAttributes.Abstract) && !isDelegate ? $"the method {name} without a body"
            : null;
    }

    private IEnumerable<string> Members()
    {
        foreach (MemberReferenceHandle handle in _reader.MemberReferences)
        {
            MemberReference member = _reader.GetMemberReference(handle);
            string name = _reader.GetString(member.Name);
            if (Parent(member.Parent) is { } type && !Knows(type, member, name))
                yield return $"{type}.{name}";
        }
    }

    private bool Knows(string type, MemberReference member, string name) => _list.KnowsMember(type, name, () => Parameters(member));

    private string Parameters(MemberReference member) => member.GetKind() == MemberReferenceKind.Method
        ? string.Join(',', member.DecodeMethodSignature(_types, null).ParameterTypes.Select(parameter => parameter.Name))
        : "";

    // Null for members of the script's own types and for those of arrays, which take part in nothing that is listed.
    private string? Parent(EntityHandle handle) => handle.Kind switch
    {
        HandleKind.TypeReference => MetadataNames.Of(_reader, (TypeReferenceHandle)handle),
        HandleKind.TypeDefinition or HandleKind.MethodDefinition => null,
        HandleKind.TypeSpecification => _reader.GetTypeSpecification((TypeSpecificationHandle)handle).DecodeSignature(new GenericNames(), null),
        _ => "a member of a module",
    };

    private IEnumerable<string> Signatures()
    {
        IEnumerable<SignatureType> types =
        [
            .. Rows(TableIndex.TypeSpec).Select(row => _reader.GetTypeSpecification(MetadataTokens.TypeSpecificationHandle(row)).DecodeSignature(_types, null)),
            .. _reader.FieldDefinitions.Select(handle => _reader.GetFieldDefinition(handle).DecodeSignature(_types, null)),
            .. _reader.MethodDefinitions.SelectMany(handle => All(_reader.GetMethodDefinition(handle).DecodeSignature(_types, null))),
            .. _reader.MemberReferences.Select(handle => _reader.GetMemberReference(handle)).SelectMany(Member),
            .. Rows(TableIndex.MethodSpec).SelectMany(row => _reader.GetMethodSpecification(MetadataTokens.MethodSpecificationHandle(row)).DecodeSignature(_types, null)),
            .. Rows(TableIndex.StandAloneSig).SelectMany(row => StandAlone(_reader.GetStandaloneSignature(MetadataTokens.StandaloneSignatureHandle(row)))),
        ];
        return types.Where(type => !type.IsKnown).Select(type => $"the type {type.Name} in a signature");
    }

    private IEnumerable<SignatureType> Member(MemberReference member) => member.GetKind() == MemberReferenceKind.Method
        ? All(member.DecodeMethodSignature(_types, null))
        : [member.DecodeFieldSignature(_types, null)];

    private IEnumerable<SignatureType> StandAlone(StandaloneSignature signature) => signature.GetKind() == StandaloneSignatureKind.LocalVariables
        ? signature.DecodeLocalSignature(_types, null)
        : [SignatureType.Unknown("of an indirect call")];

    private static IEnumerable<SignatureType> All(MethodSignature<SignatureType> signature) => signature.Header.CallingConvention == SignatureCallingConvention.Default
        ? [signature.ReturnType, .. signature.ParameterTypes]
        : [SignatureType.Unknown("of a native call")];

    private IEnumerable<string> Attributes()
    {
        foreach (CustomAttributeHandle handle in _reader.CustomAttributes)
        {
            EntityHandle constructor = _reader.GetCustomAttribute(handle).Constructor;
            // The attribute's own type is a reference that has been looked at already; one of the script's own is the compiler's, or it would not have come so far.
            if (constructor.Kind is not (HandleKind.MemberReference or HandleKind.MethodDefinition))
                yield return "an attribute that cannot be read";
        }
    }

    private IEnumerable<string> Bodies()
    {
        foreach (MethodDefinitionHandle handle in _reader.MethodDefinitions)
        {
            MethodDefinition method = _reader.GetMethodDefinition(handle);
            if (method.RelativeVirtualAddress != 0 && InstructionGate.Refuse(_image.GetMethodBody(method.RelativeVirtualAddress).GetILReader()) is { } instruction)
                yield return $"the instruction {instruction} in {_reader.GetString(method.Name)}";
        }
    }

    /// <summary>A script's own types are known too.</summary>
    private sealed class OwnTypes(AllowList list) : SignatureTypes(list)
    {
        public override SignatureType GetTypeFromDefinition(MetadataReader reader, TypeDefinitionHandle handle, byte rawTypeKind) => new(MetadataNames.Of(reader, handle), true);
    }
}
