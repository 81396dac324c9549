using System.IO.Compression;
using System.Security.Cryptography;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using NuGet.Packaging;
using NuGet.Packaging.Core;
using NuGet.Packaging.Licenses;
using NuGet.Versioning;

namespace Imbrex.Hosting.Packages;

/// <summary>
/// Writes the file of a package. NuGet makes what the format asks for (its own manifest, content types, relations); the files are then laid into an archive in ordinal order and with one date, so
/// that the same input gives the same bytes.
/// </summary>
internal static class NupkgWriter
{
    // What a date can be at the least in a zip archive.
    private static readonly DateTimeOffset OneDate = new(1980, 1, 1, 0, 0, 0, TimeSpan.Zero);

    /// <summary>The package.</summary>
    /// <param name="manifest">Complete.</param>
    /// <param name="content">The files to install.</param>
    /// <param name="key">Signs it; null leaves it unsigned.</param>
    public static byte[] Write(PackageDocument manifest, IReadOnlyDictionary<string, byte[]> content, AuthorKey? key)
    {
        var entries = new SortedDictionary<string, byte[]>(StringComparer.Ordinal) { [PackageParts.Manifest] = JsonDocuments.ToBytes(manifest) };
        foreach ((string path, byte[] bytes) in content)
            entries.Add(PackageParts.Content + path, bytes);
        string[] vouching = key is null ? [PackageParts.List] : [PackageParts.List, PackageParts.Signature, PackageParts.Key];
        foreach ((string path, byte[] bytes) in PartsOfFormat(manifest, [.. entries.Keys, .. vouching]))
            entries.Add(path, bytes);
        byte[] list = FileList.Write(entries.Select(entry => new LockedFile { Path = entry.Key, Sha256 = Convert.ToHexStringLower(SHA256.HashData(entry.Value)) }));
        entries.Add(PackageParts.List, list);
        if (key is not null)
        {
            entries.Add(PackageParts.Signature, key.Sign(list));
            entries.Add(PackageParts.Key, System.Text.Encoding.ASCII.GetBytes(key.Public.ToPem()));
        }
        return Zip(entries);
    }

    // Built around empty files of the right names: content types depend on names only.
    private static IEnumerable<(string Path, byte[] Bytes)> PartsOfFormat(PackageDocument manifest, IEnumerable<string> names)
    {
        var builder = new PackageBuilder(deterministic: true)
        {
            Id = manifest.Name,
            Version = NuGetVersion.Parse(manifest.Version),
            Description = manifest.Summary,
            LicenseMetadata = new(LicenseType.Expression, manifest.Licence, Licence(manifest.Licence), null, LicenseMetadata.CurrentVersion),
            // No project can refer to a package of this type by mistake.
            PackageTypes = [new PackageType("ImbrexPackage", PackageType.EmptyVersion)],
        };
        builder.Authors.Add(manifest.Author);
        builder.Tags.AddRange(["imbrex", manifest.Kind]);
        foreach (string name in names)
            builder.Files.Add(new PhysicalPackageFile(new MemoryStream()) { TargetPath = name });
        using var package = new MemoryStream();
        builder.Save(package);
        using var archive = new ZipArchive(package, ZipArchiveMode.Read);
        foreach (ZipArchiveEntry entry in archive.Entries.Where(entry => PackageParts.IsOfFormat(entry.FullName)))
        {
            using var bytes = new MemoryStream();
            using Stream part = entry.Open();
            part.CopyTo(bytes);
            yield return (entry.FullName, bytes.ToArray());
        }
    }

    private static NuGetLicenseExpression Licence(string expression)
    {
        try
        {
            return NuGetLicenseExpression.Parse(expression);
        }
        catch (NuGetLicenseExpressionParsingException e)
        {
            throw new InputException($"\"{expression}\" is no licence expression.", $"{PackageDocument.FileName}, $.licence", "Name it as SPDX does, such as MIT, CC0-1.0 or GPL-3.0-or-later.", e);
        }
    }

    private static byte[] Zip(SortedDictionary<string, byte[]> entries)
    {
        var bytes = new MemoryStream();
        using (var archive = new ZipArchive(bytes, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach ((string path, byte[] content) in entries)
            {
                ZipArchiveEntry entry = archive.CreateEntry(path, content.Length == 0 ? CompressionLevel.NoCompression : CompressionLevel.SmallestSize);
                entry.LastWriteTime = OneDate;
                entry.ExternalAttributes = 0;
                using Stream target = entry.Open();
                target.Write(content);
            }
        }
        return bytes.ToArray();
    }
}
