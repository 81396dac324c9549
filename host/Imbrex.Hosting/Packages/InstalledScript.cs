using Imbrex.Engine.Documents;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>A script of an installed package.</summary>
/// <param name="Package">The package.</param>
/// <param name="Script">Which of its scripts.</param>
/// <param name="Folder">Where the package's files are.</param>
public sealed record InstalledScript(LockedPackage Package, PackageScript Script, string Folder)
{
    public string Name => Script.Name!;

    public string Path => System.IO.Path.Combine(Folder, Script.File);

    /// <summary>Reads the script; what is compiled is what was compared with the lock.</summary>
    /// <exception cref="RefusalException">It is not what was installed.</exception>
    /// <exception cref="InputException">It cannot be read.</exception>
    public ScriptSource Read()
    {
        var source = ScriptSource.Read(Path);
        string? installed = Package.Files.FirstOrDefault(file => file.Path == Script.File)?.Sha256;
        return source.Sha256 == installed
            ? source
            : throw new RefusalException($"{Script.File} of the package {Package.Name} has been changed since it was installed.", Path, PackageIntegrity.Remedy(Package));
    }
}
