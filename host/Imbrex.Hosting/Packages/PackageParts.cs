using Imbrex.Engine.Documents;

namespace Imbrex.Hosting.Packages;

/// <summary>Where things lie in a package.</summary>
internal static class PackageParts
{
    /// <summary>What is installed lies below this folder.</summary>
    public const string Content = "content/";

    public const string Manifest = PackageDocument.FileName;

    /// <summary>The list of all other entries with their hashes.</summary>
    public const string List = "imbrex-signature/files.sha256";

    /// <summary>The signature of the list, ECDSA P-256 over SHA-256, in DER.</summary>
    public const string Signature = "imbrex-signature/signature.der";

    /// <summary>The author's public key, SubjectPublicKeyInfo in PEM.</summary>
    public const string Key = "imbrex-signature/key.pem";

    private const string Types = "[Content_Types].xml", Relations = "_rels/.rels", Properties = "package/services/metadata/core-properties/";

    /// <summary>Whether an entry stands outside the list: the list itself, and what vouches for it.</summary>
    public static bool VouchesForList(string entry) => entry is List or Signature or Key;

    /// <summary>Whether the format that packages share with others (Open Packaging Conventions) asks for an entry.</summary>
    public static bool IsOfFormat(string entry) => entry is Types or Relations || entry.StartsWith(Properties, StringComparison.Ordinal) || (!entry.Contains('/') && entry.EndsWith(".nuspec", StringComparison.Ordinal));

    /// <summary>Whether there may be such an entry at all.</summary>
    public static bool IsKnown(string entry) => entry == Manifest || VouchesForList(entry) || IsOfFormat(entry) || entry.StartsWith(Content, StringComparison.Ordinal);

    /// <summary>What is wrong with an entry's name, or null. Two names of the format have a form of their own.</summary>
    public static string? Fault(string entry) => entry is Types ? null : PackagePath.Fault(entry);
}
