using System.Security.Cryptography;
using System.Text;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Trust;

/// <summary>One hash for all files of a folder, with their paths: a file that is changed, added, removed or renamed changes it.</summary>
public static class FolderHash
{
    /// <summary>SHA-256 in lower-case hexadecimal.</summary>
    /// <param name="folder">The folder; it may itself be a link.</param>
    /// <exception cref="RefusalException">It holds a link, and what that leads to can change unseen.</exception>
    /// <exception cref="InputException">A file cannot be read.</exception>
    public static string Of(string folder)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        try
        {
            foreach (string path in Files(folder, "").Order(StringComparer.Ordinal))
            {
                using FileStream file = File.OpenRead(Path.Combine(folder, path));
                // A path never holds a zero, and hashes are of one length: the sequence has one reading.
                hash.AppendData(Encoding.UTF8.GetBytes(path + '\0'));
                hash.AppendData(SHA256.HashData(file));
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new InputException($"Cannot read all files of {folder}.", folder, "Check the rights to read them.", e);
        }
        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    /// <summary>Paths of all files below a folder, with '/' between their steps.</summary>
    internal static IEnumerable<string> Files(string folder, string below)
    {
        foreach (FileSystemInfo item in new DirectoryInfo(folder).EnumerateFileSystemInfos())
        {
            string path = below + item.Name;
            if (item.LinkTarget is not null)
                throw new RefusalException($"'{path}' is a link.", item.FullName, "Put the file itself there.");
            if (item is not DirectoryInfo)
                yield return path;
            else
                foreach (string inner in Files(item.FullName, path + "/"))
                    yield return inner;
        }
    }
}
