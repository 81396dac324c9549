using System.Security.Cryptography;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>Compares a folder with what was installed there.</summary>
public static class PackageIntegrity
{
    /// <summary>The first difference as a sentence, or null.</summary>
    public static string? Damage(string folder, IReadOnlyList<LockedFile> files)
    {
        if (!Directory.Exists(folder))
            return "Its folder is missing.";
        try
        {
            if (new DirectoryInfo(folder).LinkTarget is not null)
                return "Its folder has been replaced by a link.";
            var there = FolderHash.Files(folder, "").ToHashSet(StringComparer.Ordinal);
            foreach (LockedFile file in files)
            {
                if (!there.Remove(file.Path))
                    return $"{file.Path} is missing.";
                using FileStream content = File.OpenRead(Path.Combine(folder, file.Path));
                if (Convert.ToHexStringLower(SHA256.HashData(content)) != file.Sha256)
                    return $"{file.Path} has been changed since it was installed.";
            }
            return there.Order(StringComparer.Ordinal).FirstOrDefault() is { } extra ? $"{Visible.Text(extra)} has been put there since it was installed." : null;
        }
        catch (RefusalException e)
        {
            return e.Message;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return $"Its files cannot be read: {e.Message}";
        }
    }

    /// <summary>What to do about it.</summary>
    public static string Remedy(LockedPackage package) =>
        $"Install it again: imbrex plugin add {(package.IsFeed ? $"{package.Name}@{package.Version} --feed {package.Source}" : package.Source)}";
}
