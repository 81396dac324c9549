using System.Buffers.Binary;
using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Reflection.PortableExecutable;
using System.Runtime.InteropServices;
using Microsoft.CodeAnalysis;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>
/// A reference assembly that shows what the allow-list holds and nothing else: the real one's metadata, in which every type and member
/// that is not listed has been made private, so that its name does not resolve. Only flags are changed, in place.
/// </summary>
internal sealed class TrimmedReference
{
    // Layout of the rows (ECMA-335, II.22): a type's flags come first, a method's after its address and implementation flags, a field's first.
    private const int MethodFlagsOffset = 6;

    private readonly byte[] _metadata;
    private readonly MetadataReader _reader;
    private readonly AllowList _list;
    private readonly SignatureTypes _signatures;

    private TrimmedReference(byte[] metadata, MetadataReader reader, AllowList list)
    {
        (_metadata, _reader, _list) = (metadata, reader, list);
        _signatures = new(list);
    }

    /// <summary>The trimmed image of an assembly.</summary>
    public static unsafe PortableExecutableReference Of(string path, AllowList list)
    {
        // Held for good: Roslyn reads from it as long as the reference lives, which is as long as the process.
        byte[] metadata = Read(path);
        GCHandle pinned = GCHandle.Alloc(metadata, GCHandleType.Pinned);
        var start = (byte*)pinned.AddrOfPinnedObject();
        new TrimmedReference(metadata, new(start, metadata.Length), list).Trim();
        return AssemblyMetadata.Create(ModuleMetadata.CreateFromMetadata((IntPtr)start, metadata.Length)).GetReference(display: Path.GetFileName(path));
    }

    private static byte[] Read(string path)
    {
        using var image = new PEReader(File.OpenRead(path));
        return [.. image.GetMetadata().GetContent()];
    }

    private void Trim()
    {
        foreach (TypeDefinitionHandle handle in _reader.TypeDefinitions)
        {
            TypeDefinition type = _reader.GetTypeDefinition(handle);
            if ((type.Attributes & TypeAttributes.VisibilityMask) is not (TypeAttributes.Public or TypeAttributes.NestedPublic))
                continue;
            string name = MetadataNames.Of(_reader, handle);
            if (_list.KnowsType(name))
                TrimMembers(type, name);
            else
                Hide(handle, type);
        }
    }

    private void Hide(TypeDefinitionHandle handle, TypeDefinition type)
    {
        TypeAttributes hidden = type.IsNested ? TypeAttributes.NestedPrivate : TypeAttributes.NotPublic;
        int at = Row(TableIndex.TypeDef, handle);
        BinaryPrimitives.WriteInt32LittleEndian(_metadata.AsSpan(at), (int)((type.Attributes & ~TypeAttributes.VisibilityMask) | hidden));
    }

    private void TrimMembers(TypeDefinition type, string name)
    {
        foreach (MethodDefinitionHandle handle in type.GetMethods())
        {
            MethodDefinition method = _reader.GetMethodDefinition(handle);
            if (IsVisible(method.Attributes & MethodAttributes.MemberAccessMask) && !Allows(method, name))
            {
                int at = Row(TableIndex.MethodDef, handle) + MethodFlagsOffset;
                BinaryPrimitives.WriteUInt16LittleEndian(_metadata.AsSpan(at), (ushort)((method.Attributes & ~MethodAttributes.MemberAccessMask) | MethodAttributes.Private));
            }
        }
        foreach (FieldDefinitionHandle handle in type.GetFields())
        {
            FieldDefinition field = _reader.GetFieldDefinition(handle);
            if (IsVisible((MethodAttributes)(field.Attributes & FieldAttributes.FieldAccessMask)) && !Allows(field, name))
            {
                int at = Row(TableIndex.Field, handle);
                BinaryPrimitives.WriteUInt16LittleEndian(_metadata.AsSpan(at), (ushort)((field.Attributes & ~FieldAttributes.FieldAccessMask) | FieldAttributes.Private));
            }
        }
    }

    // Fields and methods number their access alike.
    private static bool IsVisible(MethodAttributes access) => access is MethodAttributes.Public or MethodAttributes.Family or MethodAttributes.FamORAssem;

    private bool Allows(MethodDefinition method, string type)
    {
        string name = _reader.GetString(method.Name);
        MethodSignature<SignatureType>? signature = null;
        return _list.KnowsMember(type, name, () => string.Join(',', Signature().ParameterTypes.Select(parameter => parameter.Name)))
            && Signature().ReturnType.IsKnown && Signature().ParameterTypes.All(parameter => parameter.IsKnown);

        MethodSignature<SignatureType> Signature() => signature ??= method.DecodeSignature(_signatures, null);
    }

    // The numbers behind an enumeration are in a field of their own, without which it is none.
    private bool Allows(FieldDefinition field, string type) => field.Attributes.HasFlag(FieldAttributes.RTSpecialName)
        || (_list.KnowsMember(type, _reader.GetString(field.Name), () => "") && field.DecodeSignature(_signatures, null).IsKnown);

    private int Row(TableIndex table, EntityHandle handle) =>
        _reader.GetTableMetadataOffset(table) + (_reader.GetRowNumber(handle) - 1) * _reader.GetTableRowSize(table);
}
