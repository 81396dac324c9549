using System.Security.Cryptography;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>A package that has been verified in every byte that matters: form, limits, hashes, signature, manifest, content. Nothing has been written yet.</summary>
public sealed class Package
{
    private readonly byte[] _bytes;
    private readonly IReadOnlyDictionary<string, ZipPart> _parts;

    internal Package(byte[] bytes, IReadOnlyDictionary<string, ZipPart> parts, PackageDocument manifest, IReadOnlyList<LockedFile> files, PublicKey? key) =>
        (_bytes, _parts, Manifest, Files, Key, Sha256) = (bytes, parts, manifest, files, key, Convert.ToHexStringLower(SHA256.HashData(bytes)));

    public PackageDocument Manifest { get; }

    /// <summary>What is installed: path and hash, in ordinal order of paths.</summary>
    public IReadOnlyList<LockedFile> Files { get; }

    /// <summary>The key that signed it, or null.</summary>
    public PublicKey? Key { get; }

    /// <summary>SHA-256 of the package's file in lower-case hexadecimal.</summary>
    public string Sha256 { get; }

    /// <summary>Whether it holds something that runs with the user's own rights.</summary>
    public bool NeedsTrust => Manifest.NeedsTrust();

    /// <summary>Name and version, as it is spoken of.</summary>
    public string Title => $"{Manifest.Name} {Manifest.Version}";

    /// <summary>Reads and verifies a package.</summary>
    /// <exception cref="InputException">It cannot be read, or is no package.</exception>
    /// <exception cref="RefusalException">A rule refuses it.</exception>
    public static Package Read(string path)
    {
        try
        {
            var file = new FileInfo(path);
            if (!file.Exists)
                throw new InputException($"There is no file {path}.", path, "Name a .nupkg file.");
            byte[] bytes = BoundedFile.Read(path, PackageLimits.Package)
                ?? throw new RefusalException($"The package has {Math.Max(file.Length, PackageLimits.Package + 1L) >> 20} MB; {PackageLimits.Package >> 20} MB is the most.", path, "Ask its author for a smaller one.");
            return Parse(bytes, path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new InputException($"Cannot read the package {path}.", path, "Check the path and the rights to read it.", e);
        }
    }

    /// <summary>Verifies a package in memory.</summary>
    /// <param name="bytes">The whole file.</param>
    /// <param name="source">Where it comes from, for messages.</param>
    public static Package Parse(byte[] bytes, string source) => new PackageReader(bytes, source).Read();

    /// <summary>Bytes of an installed file.</summary>
    internal byte[] Content(string path) => PackageReader.Unpack(_bytes, _parts[PackageParts.Content + path]);

    /// <summary>Writes the files into an empty folder.</summary>
    internal void Unpack(string folder, CancellationToken cancellation)
    {
        foreach (LockedFile file in Files)
        {
            cancellation.ThrowIfCancellationRequested();
            string path = Path.Combine(folder, file.Path);
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            using var target = new FileStream(path, FileMode.CreateNew, FileAccess.Write);
            using Stream content = PackageReader.Open(_bytes, file.Path == PackageDocument.FileName ? _parts[PackageParts.Manifest] : _parts[PackageParts.Content + file.Path]);
            content.CopyTo(target);
        }
    }
}
