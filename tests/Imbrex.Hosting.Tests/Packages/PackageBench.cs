using System.Security.Cryptography;
using System.Text;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Trust;

namespace Imbrex.Hosting.Tests.Packages;

/// <summary>A folder to make, forge and install packages in.</summary>
internal sealed class PackageBench : IDisposable
{
    private readonly TemporaryFolder _folder = new();
    private int _made;

    public PackageBench()
    {
        Store = new(PackagesFolder);
        Trust = TrustStore.Open(Path.Combine(Root, "trust.json"));
    }

    public string Root => _folder.Path;

    public string PackagesFolder => Path.Combine(Root, "packages");

    public PackageStore Store { get; private set; }

    public TrustStore Trust { get; private set; }

    /// <summary>The packages about which the user was asked.</summary>
    public List<string> Asked { get; } = [];

    /// <summary>What the user answers.</summary>
    public bool Answer { get; set; } = true;

    /// <summary>Reads everything from disk again, as another run of the program would.</summary>
    public void Restart()
    {
        Store = new(PackagesFolder);
        Trust = TrustStore.Open(Path.Combine(Root, "trust.json"));
    }

    public string Write(string name, string text) => _folder.Write(name, text);

    public AuthorKey Key(string name = "author") => AuthorKey.OpenOrMake(Path.Combine(Root, "keys", name + ".pem"));

    public static string Manifest(string name = "bonds", string version = "1.0.0", string kind = "layout", string more = "") =>
        $$"""{ "schema": "imbrex/package/1", "name": "{{name}}", "version": "{{version}}", "kind": "{{kind}}", "author": "Jane Maker", "licence": "MIT", "summary": "Rows like bricks"{{more}} }""";

    /// <summary>Packs a folder of these files.</summary>
    public MadePackage Make(string? key, string manifest, params (string Name, string Text)[] files)
    {
        string folder = $"source{_made++}";
        Write($"{folder}/{PackageDocument.FileName}", manifest);
        foreach ((string name, string text) in files)
            Write($"{folder}/{name}", text);
        return new PackageMaker(new PlainInspector()).Make(Path.Combine(Root, folder), key is null ? null : () => Key(key));
    }

    /// <summary>Packs a script of a kind.</summary>
    public Package Script(string? key = "author", string name = "bonds", string version = "1.0.0", string kind = "layout", string text = "Tile(0, 0);") =>
        Make(key, Manifest(name, version, kind), (name + "-script.csx", text)).Package;

    public Installed Install(Package package) => new PackageInstaller(Store, Trust, Ask).Add(package, "here", isFeed: false, CancellationToken.None);

    /// <summary>Every file below the bench with its hash, which tells whether anything was written.</summary>
    public string[] Everything() =>
    [
        .. Directory.EnumerateFiles(Root, "*", SearchOption.AllDirectories).Where(path => !path.EndsWith(".busy", StringComparison.Ordinal)).Order(StringComparer.Ordinal)
            .Select(path => $"{Path.GetRelativePath(Root, path)} {Convert.ToHexString(SHA256.HashData(File.ReadAllBytes(path)))}"),
    ];

    /// <summary>The files of an honest package of one layout, before they are listed and signed.</summary>
    public static Dictionary<string, byte[]> Entries(string manifest) => new(StringComparer.Ordinal)
    {
        [PackageParts.Manifest] = Encoding.UTF8.GetBytes(manifest),
        [PackageParts.Content + "a.csx"] = "Tile(0, 0);"u8.ToArray(),
    };

    public static string WholeManifest { get; } = Manifest(more: ", \"sdk\": \"0.1.0\", \"scripts\": [ { \"file\": \"a.csx\", \"name\": \"a\" } ]");

    /// <summary>Lists, signs and zips entries as a skilled attacker would: everything is consistent but what the forger changes.</summary>
    public byte[] Forge(Dictionary<string, byte[]> entries, string? key = null, Func<ForgedFile, ForgedFile>? forge = null)
    {
        byte[] list = FileList.Write(entries.Select(entry => new LockedFile { Path = entry.Key, Sha256 = Convert.ToHexStringLower(SHA256.HashData(entry.Value)) }));
        List<ForgedFile> files = [.. entries.Select(entry => new ForgedFile(entry.Key, entry.Value)), new(PackageParts.List, list)];
        if (key is not null)
        {
            using AuthorKey author = Key(key);
            files.Add(new(PackageParts.Signature, author.Sign(list)));
            files.Add(new(PackageParts.Key, Encoding.ASCII.GetBytes(author.Public.ToPem())));
        }
        return ForgedZip.Write(files.Select(file => forge?.Invoke(file) ?? file));
    }

    public void Dispose() => _folder.Dispose();

    private void Ask(Package package)
    {
        Asked.Add(package.Title);
        if (!Answer)
            throw new Sdk.RefusalException($"{package.Title} is not trusted.");
    }

    private sealed class PlainInspector : IScriptInspector
    {
        public InspectedScript Inspect(string path, string kind) => new(Path.GetFileNameWithoutExtension(path), null);
    }
}
