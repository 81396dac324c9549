using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Reflection.PortableExecutable;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>
/// Reads a compiled script before it is loaded, and compares all that it refers to with the allow-list. It trusts neither the compiler nor
/// the cache: whatever an assembly may do stands in these tables.
/// </summary>
/// <remarks>Plain loops and classes: queries over the reader's structs would be compiled anew in every process, which takes longer than the reading.</remarks>
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
            var gate = new MetadataGate(image, list);
            gate.MeasureSignatures();
            return gate.Refusals().FirstOrDefault();
        }
        catch (Exception e) when (e is BadImageFormatException or InvalidOperationException or ArgumentException or ArithmeticException or IndexOutOfRangeException or IOException)
        {
            return "metadata that cannot be read";
        }
    }

    private IEnumerable<string> Refusals() =>
    [
        .. Image(), .. Tables(), .. References(), .. Types(), .. Members(), .. Signatures(), .. Attributes(), .. Bodies(),
    ];

    // A signature is read by recursion: one long enough could nest deeper than the stack.
    private void MeasureSignatures()
    {
        foreach (FieldDefinitionHandle handle in _reader.FieldDefinitions)
            Measure(_reader.GetFieldDefinition(handle).Signature);
        foreach (MethodDefinitionHandle handle in _reader.MethodDefinitions)
            Measure(_reader.GetMethodDefinition(handle).Signature);
        foreach (MemberReferenceHandle handle in _reader.MemberReferences)
            Measure(_reader.GetMemberReference(handle).Signature);
        for (int row = 1; row <= _reader.GetTableRowCount(TableIndex.TypeSpec); row++)
            Measure(_reader.GetTypeSpecification(MetadataTokens.TypeSpecificationHandle(row)).Signature);
        for (int row = 1; row <= _reader.GetTableRowCount(TableIndex.MethodSpec); row++)
            Measure(_reader.GetMethodSpecification(MetadataTokens.MethodSpecificationHandle(row)).Signature);
        for (int row = 1; row <= _reader.GetTableRowCount(TableIndex.StandAloneSig); row++)
            Measure(_reader.GetStandaloneSignature(MetadataTokens.StandaloneSignatureHandle(row)).Signature);
    }

    private void Measure(BlobHandle signature)
    {
        if (_reader.GetBlobReader(signature).Length > LongestSignature)
            throw new BadImageFormatException();
    }

    // Pure IL: no machine code, no entry point that the system would call, no resources.
    private IEnumerable<string> Image()
    {
        CorHeader header = _image.PEHeaders.CorHeader ?? throw new BadImageFormatException();
        if (!header.Flags.HasFlag(CorFlags.ILOnly) || header.Flags.HasFlag(CorFlags.NativeEntryPoint) || header.VtableFixupsDirectory.Size != 0 || header.ManagedNativeHeaderDirectory.Size != 0)
            yield return "machine code";
    }

    private static readonly NeverUsed[] Never =
    [
        new(TableIndex.ModuleRef, "a native library"), new(TableIndex.ImplMap, "a call into a native library"), new(TableIndex.FieldLayout, "fields that overlap"),
        new(TableIndex.DeclSecurity, "declared permissions"), new(TableIndex.File, "another file"), new(TableIndex.ExportedType, "forwarded types"),
        new(TableIndex.ManifestResource, "resources"), new(TableIndex.FieldMarshal, "marshalled fields"), new(TableIndex.Event, "events"),
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
        var types = new List<SignatureType>();
        for (int row = 1; row <= _reader.GetTableRowCount(TableIndex.TypeSpec); row++)
            types.Add(_reader.GetTypeSpecification(MetadataTokens.TypeSpecificationHandle(row)).DecodeSignature(_types, null));
        foreach (FieldDefinitionHandle handle in _reader.FieldDefinitions)
            types.Add(_reader.GetFieldDefinition(handle).DecodeSignature(_types, null));
        foreach (MethodDefinitionHandle handle in _reader.MethodDefinitions)
            AddAll(types, _reader.GetMethodDefinition(handle).DecodeSignature(_types, null));
        foreach (MemberReferenceHandle handle in _reader.MemberReferences)
        {
            MemberReference member = _reader.GetMemberReference(handle);
            if (member.GetKind() == MemberReferenceKind.Method)
                AddAll(types, member.DecodeMethodSignature(_types, null));
            else
                types.Add(member.DecodeFieldSignature(_types, null));
        }
        for (int row = 1; row <= _reader.GetTableRowCount(TableIndex.MethodSpec); row++)
            types.AddRange(_reader.GetMethodSpecification(MetadataTokens.MethodSpecificationHandle(row)).DecodeSignature(_types, null));
        for (int row = 1; row <= _reader.GetTableRowCount(TableIndex.StandAloneSig); row++)
        {
            StandaloneSignature signature = _reader.GetStandaloneSignature(MetadataTokens.StandaloneSignatureHandle(row));
            if (signature.GetKind() == StandaloneSignatureKind.LocalVariables)
                types.AddRange(signature.DecodeLocalSignature(_types, null));
            else
                types.Add(SignatureType.Unknown("of an indirect call"));
        }
        return types.Where(type => !type.IsKnown).Select(type => $"the type {type.Name} in a signature");
    }

    private static void AddAll(List<SignatureType> types, MethodSignature<SignatureType> signature)
    {
        if (signature.Header.CallingConvention == SignatureCallingConvention.Default)
        {
            types.Add(signature.ReturnType);
            types.AddRange(signature.ParameterTypes);
        }
        else
        {
            types.Add(SignatureType.Unknown("of a native call"));
        }
    }

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

    /// <summary>A table of metadata that no script's assembly has.</summary>
    private sealed record NeverUsed(TableIndex Table, string Name);

    /// <summary>A script's own types are known too.</summary>
    private sealed class OwnTypes(AllowList list) : SignatureTypes(list)
    {
        public override SignatureType GetTypeFromDefinition(MetadataReader reader, TypeDefinitionHandle handle, byte rawTypeKind) => new(MetadataNames.Of(reader, handle), true);
    }
}
