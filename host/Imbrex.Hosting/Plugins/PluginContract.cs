using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Hosting.Plugins;

/// <summary>
/// Says before anything of a plugin is loaded whether it may be. An assembly built for another SDK loads without complaint and then
/// shows no parts at all, so the version is read from its metadata first.
/// </summary>
internal static class PluginContract
{
    private static readonly string SdkName = typeof(SdkContract).Assembly.GetName().Name!;

    /// <summary>The reason to refuse the file, or null.</summary>
    public static string? Refusal(PluginFile plugin)
    {
        if (!File.Exists(plugin.Path))
            return $"{plugin.Name}.dll is missing: a plugin's assembly is named like its folder.";
        if (ForeignLibvips(plugin) is { } copy)
            return $"It brings its own copy of libvips ({copy}); the program's copy must be the only one in the process.";
        try
        {
            return SdkVersion(plugin.Path) is { } built ? VersionRefusal(built) : $"{plugin.Name}.dll does not use {SdkName}, so it holds no parts.";
        }
        catch (Exception e) when (e is BadImageFormatException or IOException or UnauthorizedAccessException)
        {
            return $"{plugin.Name}.dll is not a readable .NET assembly.";
        }
    }

    /// <summary>The kinds of parts that the file may hold, by the contracts that it names; all of them where it cannot be read, which loading then tells.</summary>
    public static PartKinds Kinds(PluginFile plugin)
    {
        try
        {
            return ReadMetadata(plugin.Path, metadata =>
            {
                PartKinds kinds = PartKinds.None;
                foreach (TypeReferenceHandle type in metadata.TypeReferences)
                    kinds |= Kind(metadata.GetString(metadata.GetTypeReference(type).Name));
                return kinds;
            });
        }
        catch (Exception e) when (e is BadImageFormatException or IOException or UnauthorizedAccessException)
        {
            return PartKinds.All;
        }
    }

    private static PartKinds Kind(string contract) => contract switch
    {
        nameof(IMosaicLayout) => PartKinds.Layout,
        nameof(IAdapterGeometry) => PartKinds.Adapter,
        nameof(IExportTarget) => PartKinds.Export,
        _ => PartKinds.None,
    };

    private static string? VersionRefusal(Version built) => SdkContract.Accepts(built)
        ? null
        : $"It was built for version {built.ToString(3)} of {SdkName}, and this program has {SdkContract.Version.ToString(3)}: get a build for this version.";

    /// <summary>The version of the SDK that an assembly refers to, or null.</summary>
    public static Version? SdkVersion(string path) => ReadMetadata(path, metadata =>
    {
        foreach (AssemblyReferenceHandle handle in metadata.AssemblyReferences)
        {
            AssemblyReference reference = metadata.GetAssemblyReference(handle);
            if (metadata.StringComparer.Equals(reference.Name, SdkName))
                return reference.Version;
        }
        return null;
    });

    private static T ReadMetadata<T>(string path, Func<MetadataReader, T> read)
    {
        using FileStream file = File.OpenRead(path);
        using var image = new PEReader(file);
        if (!image.HasMetadata)
            throw new BadImageFormatException();
        return read(image.GetMetadataReader());
    }

    // Two libvips in one process share names of types that are global to it, and can crash.
    private static string? ForeignLibvips(PluginFile plugin)
    {
        string folder = Path.GetDirectoryName(plugin.Path)!;
        return Directory.EnumerateFiles(folder, "*libvips*", SearchOption.AllDirectories).Select(Path.GetFileName).FirstOrDefault();
    }
}

/// <summary>Kinds of parts.</summary>
[Flags]
internal enum PartKinds
{
    None = 0,
    Layout = 1,
    Adapter = 2,
    Export = 4,
    All = Layout | Adapter | Export,
}
