using System.IO.Compression;
using System.Security.Cryptography;
using System.Text;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>Verifies a package step by step. Nothing is believed before it has been checked, and nothing is unpacked further than its limits.</summary>
internal sealed class PackageReader(byte[] bytes, string source)
{
    private const string Remedy = "Do not use it. Get it again from where it came, and tell its author if it is refused again.";

    private readonly Dictionary<string, ZipPart> _parts = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> _hashes = new(StringComparer.Ordinal);

    public Package Read()
    {
        Index(ZipLayout.Read(bytes, source));
        HashAll();
        PublicKey? key = VerifiedKey(VerifiedList());
        PackageDocument manifest = Manifest();
        RequireOwnFiles(manifest);
        Require(key is not null || !manifest.NeedsTrust(), "It runs with your own rights and nobody has signed it.", "Ask its author to pack it with a key.");
        RequireSdk(manifest);
        return new(bytes, _parts, manifest, Installed(), key);
    }

    public static Stream Open(byte[] bytes, ZipPart part)
    {
        var packed = new MemoryStream(bytes, part.Start, part.Packed, writable: false);
        return part.IsDeflated ? new DeflateStream(packed, CompressionMode.Decompress) : packed;
    }

    public static byte[] Unpack(byte[] bytes, ZipPart part)
    {
        byte[] content = new byte[part.Size];
        using Stream stream = Open(bytes, part);
        stream.ReadExactly(content);
        return content;
    }

    private void Index(IReadOnlyList<ZipPart> parts)
    {
        // Before the names' own rules: two names that other systems take for one are the worse thing to find.
        var folded = new Dictionary<string, string>(StringComparer.OrdinalIgnoreCase);
        foreach (ZipPart part in parts)
        {
            if (folded.TryAdd(part.Name, part.Name))
                continue;
            string shown = Visible.Text(part.Name), other = folded[part.Name];
            throw Refusal(other == part.Name ? $"'{shown}' is in the package twice." : $"'{shown}' and '{Visible.Text(other)}' differ in upper and lower case only, and are one file on some systems.");
        }
        foreach (ZipPart part in parts)
        {
            // Names are ASCII: spellings of one name with and without composed accents cannot meet.
            if (PackageParts.Fault(part.Name) is { } fault)
                throw Refusal($"'{Visible.Text(part.Name)}' in the package {fault}.");
            if (!PackageParts.IsKnown(part.Name))
                throw Refusal($"'{part.Name}' is no part of a package.");
            _parts.Add(part.Name, part);
        }
        foreach (string folder in _parts.Keys.SelectMany(Folders))
        {
            if (folded.TryGetValue(folder, out string? file))
                throw Refusal($"'{file}' in the package is a file and a folder.");
        }
    }

    private static IEnumerable<string> Folders(string path)
    {
        for (int end = path.IndexOf('/'); end >= 0; end = path.IndexOf('/', end + 1))
            yield return path[..end];
    }

    // Sizes are counted as they come, whatever the headers promise.
    private void HashAll()
    {
        byte[] buffer = new byte[64 * 1024];
        long total = 0;
        foreach (ZipPart part in _parts.Values)
        {
            using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
            long size = 0, most = Math.Min(PackageLimits.File, Math.Max(PackageLimits.Harmless, (long)PackageLimits.Ratio * part.Packed));
            try
            {
                using Stream content = Open(bytes, part);
                for (int read; (read = content.Read(buffer)) > 0; size += read)
                {
                    total += read;
                    Require(size + read <= most, $"'{part.Name}' unpacks to more than {PackageLimits.Ratio} times its size: a bomb.", Remedy);
                    Require(size + read <= part.Size, $"'{part.Name}' unpacks to more than it says.", Remedy);
                    Require(total <= PackageLimits.Total, $"The package unpacks to more than {PackageLimits.Total >> 20} MB.", Remedy);
                    hash.AppendData(buffer, 0, read);
                }
            }
            catch (InvalidDataException e)
            {
                throw new RefusalException($"'{part.Name}' in the package is damaged.", source, Remedy, e);
            }
            Require(size == part.Size, $"'{part.Name}' unpacks to less than it says.", Remedy);
            _hashes.Add(part.Name, Convert.ToHexStringLower(hash.GetHashAndReset()));
        }
    }

    private byte[] VerifiedList()
    {
        byte[] list = Text(PackageParts.List, "list of its files and their hashes");
        IReadOnlyList<LockedFile> files = FileList.Read(list) ?? throw Refusal("The package's list of files is not in its one form.");
        var listed = files.ToDictionary(file => file.Path, file => file.Sha256, StringComparer.Ordinal);
        foreach (LockedFile file in files)
        {
            if (!_hashes.TryGetValue(file.Path, out string? hash))
                throw Refusal($"'{Visible.Text(file.Path)}' is listed and not in the package.");
            if (hash != file.Sha256)
                throw Refusal($"'{Visible.Text(file.Path)}' in the package has been changed or damaged: its SHA-256 is not the listed one.");
        }
        if (_parts.Keys.FirstOrDefault(name => !PackageParts.VouchesForList(name) && !listed.ContainsKey(name)) is { } extra)
            throw Refusal($"'{Visible.Text(extra)}' is in the package and not on its list.");
        return list;
    }

    private PublicKey? VerifiedKey(byte[] list)
    {
        bool hasKey = _parts.ContainsKey(PackageParts.Key), hasSignature = _parts.ContainsKey(PackageParts.Signature);
        Require(hasKey == hasSignature, "The package has a key or a signature, and not both.", Remedy);
        if (!hasKey)
            return null;
        string pem = Encoding.ASCII.GetString(Text(PackageParts.Key, "key"));
        PublicKey key = PublicKey.Parse(pem) ?? throw Refusal("The package's key is no public key on the curve P-256.");
        Require(pem == key.ToPem(), "The package's key is not in its one form.", Remedy);
        Require(key.Verifies(list, Text(PackageParts.Signature, "signature")), $"The package's signature is not that of its key ({key.Fingerprint}).", Remedy);
        return key;
    }

    private byte[] Text(string name, string what)
    {
        if (!_parts.TryGetValue(name, out ZipPart? part))
            throw new InputException($"The package has no {what}.", source, "Name a .nupkg file made by imbrex plugin pack.");
        Require(part.Size <= PackageLimits.Text, $"The package's {what} is too long.", Remedy);
        return Unpack(bytes, part);
    }

    private PackageDocument Manifest()
    {
        PackageDocument manifest = JsonDocuments.Parse<PackageDocument>(Text(PackageParts.Manifest, "manifest"), PackageDocument.SchemaName, $"{source}, {PackageParts.Manifest}");
        bool complete = manifest.Sdk is not null && (manifest.Kind == PackageWords.Plugin ? manifest.Assembly is not null : manifest.Scripts?.All(script => script.Name is not null) == true);
        Require(complete, "The package's manifest does not tell the SDK, the scripts' names or the plugin's assembly.", "Pack it with imbrex plugin pack, which fills them in.");
        return manifest;
    }

    private void RequireOwnFiles(PackageDocument manifest)
    {
        bool isPlugin = manifest.Kind == PackageWords.Plugin;
        foreach (string name in _parts.Keys.Where(name => name.StartsWith(PackageParts.Content, StringComparison.Ordinal)))
        {
            string path = name[PackageParts.Content.Length..];
            Require(!string.Equals(path, PackageDocument.FileName, StringComparison.OrdinalIgnoreCase), $"'{path}' would take the manifest's place.", Remedy);
            Require(!isPlugin || !path.Contains("libvips", StringComparison.OrdinalIgnoreCase),
                $"The plugin brings its own copy of libvips ({Path.GetFileName(path)}); the program's copy must be the only one in the process.",
                "Ask its author for a build without it.");
            if (ContentRules.Fault(path, () => Unpack(bytes, _parts[name]), isPlugin) is { } fault)
                throw Refusal($"'{path}' {fault}.");
        }
        string?[] named = [.. (manifest.Scripts ?? []).Select(script => script.File), manifest.Assembly, manifest.Drawing];
        if (Array.Find(named, file => file is not null && !_parts.ContainsKey(PackageParts.Content + file)) is { } missing)
            throw Refusal($"'{missing}' is named in the manifest and not in the package.");
        string[] scripts = [.. (manifest.Scripts ?? []).Select(script => PackageParts.Content + script.File)];
        if (_parts.Keys.FirstOrDefault(name => name.EndsWith(".csx", StringComparison.OrdinalIgnoreCase) && !scripts.Contains(name)) is { } unnamed)
            throw Refusal($"'{unnamed[PackageParts.Content.Length..]}' is a script that the manifest does not name.");
    }

    private void RequireSdk(PackageDocument manifest)
    {
        var built = Version.Parse(manifest.Sdk!);
        Require(SdkContract.Accepts(built), $"The package was made for version {manifest.Sdk} of the SDK, and this program has {SdkContract.Version.ToString(3)}.",
            "Get the version of it that was made for this program.");
    }

    private IReadOnlyList<LockedFile> Installed() =>
    [
        .. _hashes.Where(hash => hash.Key == PackageParts.Manifest || hash.Key.StartsWith(PackageParts.Content, StringComparison.Ordinal))
            .Select(hash => new LockedFile { Path = hash.Key == PackageParts.Manifest ? hash.Key : hash.Key[PackageParts.Content.Length..], Sha256 = hash.Value })
            .OrderBy(file => file.Path, StringComparer.Ordinal),
    ];

    private void Require(bool holds, string fault, string remedy)
    {
        if (!holds)
            throw new RefusalException(fault, source, remedy);
    }

    private RefusalException Refusal(string fault) => new(fault, source, Remedy);
}
