using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using Imbrex.Sdk;

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

    private static string? VersionRefusal(Version built) => SdkContract.Accepts(built)
        ? null
        : $"It was built for version {built.ToString(3)} of {SdkName}, and this program has {SdkContract.Version.ToString(3)}: get a build for this version.";

    /// <summary>The version of the SDK that an assembly refers to, or null.</summary>
    public static Version? SdkVersion(string path)
    {
        using FileStream file = File.OpenRead(path);
        using var image = new PEReader(file);
        if (!image.HasMetadata)
            throw new BadImageFormatException();
        MetadataReader metadata = image.GetMetadataReader();
        return metadata.AssemblyReferences
            .Select(metadata.GetAssemblyReference)
            .Where(reference => metadata.StringComparer.Equals(reference.Name, SdkName))
            .Select(reference => reference.Version)
            .FirstOrDefault();
    }

    // Two libvips in one process share names of types that are global to it, and can crash.
    private static string? ForeignLibvips(PluginFile plugin)
    {
        string folder = Path.GetDirectoryName(plugin.Path)!;
        return Directory.EnumerateFiles(folder, "*libvips*", SearchOption.AllDirectories).Select(Path.GetFileName).FirstOrDefault();
    }
}
