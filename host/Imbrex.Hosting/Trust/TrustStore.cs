using System.Text.Json;
using System.Text.Json.Serialization;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Trust;

/// <summary>One file that may run with the user's own rights.</summary>
/// <param name="Name">The file's name without its folder, for people.</param>
/// <param name="Sha256">SHA-256 of its bytes in lower-case hexadecimal.</param>
public sealed record TrustedFile([property: JsonRequired] string Name, [property: JsonRequired] string Sha256);

/// <summary>An author whose packages may run with the user's own rights.</summary>
/// <param name="Name">What the user calls the author.</param>
/// <param name="Key">Fingerprint of the author's key.</param>
public sealed record TrustedAuthor([property: JsonRequired] string Name, [property: JsonRequired] string Key);

/// <summary>A package that may run with the user's own rights for as long as one key signs it.</summary>
/// <param name="Name">The package's name.</param>
/// <param name="Key">Fingerprint of the key.</param>
public sealed record PinnedPackage([property: JsonRequired] string Name, [property: JsonRequired] string Key);

/// <summary>
/// What the user has said may run with the user's own rights: files and plugin folders by the hash of their bytes, so that one that changes is asked about again, and packages by
/// the key that signs them.
/// </summary>
public sealed class TrustStore
{
    private const string SchemaName = "imbrex/trust/1";

    private readonly List<TrustedFile> _files = [];
    private readonly List<TrustedAuthor> _authors = [];
    private readonly List<PinnedPackage> _packages = [];

    private TrustStore(string? path, StoreFile file)
    {
        Path = path;
        Take(file);
    }

    /// <summary>Its file, or null where nothing is remembered.</summary>
    public string? Path { get; }

    /// <summary>Everything trusted, in the order in which it was said.</summary>
    public IReadOnlyList<TrustedFile> Files => _files;

    /// <summary>Authors trusted beforehand.</summary>
    public IReadOnlyList<TrustedAuthor> Authors => _authors;

    /// <summary>Packages with the key that each must be signed with.</summary>
    public IReadOnlyList<PinnedPackage> Packages => _packages;

    /// <summary>Opens a store; a file that does not exist yet trusts nothing.</summary>
    /// <param name="path">The file, or null where there is no place that belongs to the user alone: nothing is then remembered.</param>
    /// <exception cref="InputException">The file is damaged or not readable.</exception>
    public static TrustStore Open(string? path) => new(path, Read(path));

    private static StoreFile Read(string? path)
    {
        if (path is null || !File.Exists(path))
            return new(SchemaName, []);
        try
        {
            StoreFile file = JsonSerializer.Deserialize<StoreFile>(File.ReadAllBytes(path), JsonDocuments.Options) ?? throw new JsonException("null");
            bool hasGaps = file.Trusted.Any(one => one is null) || file.Authors?.Any(one => one is null) == true || file.Packages?.Any(one => one is null) == true;
            return file.Schema == SchemaName && !hasGaps ? file : throw new JsonException(file.Schema);
        }
        catch (Exception e) when (e is JsonException or IOException or UnauthorizedAccessException)
        {
            throw new InputException("The file of what is trusted cannot be read.", path, "Remove it: you are then asked again.", e);
        }
    }

    /// <summary>Whether these very bytes are trusted.</summary>
    /// <param name="sha256">SHA-256 in lower-case hexadecimal.</param>
    public bool IsTrusted(string sha256) => _files.Exists(file => file.Sha256 == sha256);

    /// <summary>Whether a file of this name was trusted with other bytes.</summary>
    public bool KnowsName(string name) => _files.Exists(file => file.Name == name);

    /// <summary>The key that a package of this name must be signed with, or null where none is known.</summary>
    public string? KeyOf(string package) => _packages.Find(one => one.Name == package)?.Key;

    /// <summary>Whether all packages of a key may run.</summary>
    public bool IsTrustedAuthor(string key) => _authors.Exists(author => author.Key == key);

    /// <summary>Whether a package that is signed with a key may run.</summary>
    public bool IsTrusted(string package, string key) => IsTrustedAuthor(key) || KeyOf(package) == key;

    /// <summary>Remembers a yes.</summary>
    /// <exception cref="InputException">The store's file cannot be written.</exception>
    public void Trust(TrustedFile file)
    {
        ArgumentNullException.ThrowIfNull(file);
        Refresh();
        if (_files.Contains(file))
            return;
        _files.Add(file);
        Save();
    }

    /// <summary>Remembers an author.</summary>
    /// <exception cref="InputException">The store's file cannot be written.</exception>
    public void Trust(TrustedAuthor author)
    {
        ArgumentNullException.ThrowIfNull(author);
        Refresh();
        _authors.RemoveAll(one => one.Key == author.Key);
        _authors.Add(author);
        Save();
    }

    /// <summary>Remembers the key of a package.</summary>
    /// <exception cref="InputException">The store's file cannot be written.</exception>
    public void Pin(PinnedPackage package)
    {
        ArgumentNullException.ThrowIfNull(package);
        Refresh();
        if (_packages.Contains(package))
            return;
        _packages.RemoveAll(one => one.Name == package.Name);
        _packages.Add(package);
        Save();
    }

    /// <summary>Forgets everything that is known by a name, a fingerprint or a hash; with an author, the author's packages.</summary>
    /// <returns>How much that was.</returns>
    /// <exception cref="InputException">The store's file cannot be written.</exception>
    public int Forget(string what)
    {
        Refresh();
        string[] keys = [what, .. _authors.Where(author => author.Name == what).Select(author => author.Key)];
        int forgotten = _files.RemoveAll(file => file.Name == what || file.Sha256 == what)
            + _authors.RemoveAll(author => keys.Contains(author.Key))
            + _packages.RemoveAll(package => package.Name == what || keys.Contains(package.Key));
        if (forgotten > 0)
            Save();
        return forgotten;
    }

    // Another run may have changed the file since it was read: what that one forgot must not come back with a yes of this one.
    private void Refresh()
    {
        if (Path is not null)
            Take(Read(Path));
    }

    private void Take(StoreFile file)
    {
        _files.Clear();
        _files.AddRange(file.Trusted);
        _authors.Clear();
        _authors.AddRange(file.Authors ?? []);
        _packages.Clear();
        _packages.AddRange(file.Packages ?? []);
    }

    private void Save()
    {
        if (Path is null)
            return;
        OutputFile.MakeFolder(System.IO.Path.GetDirectoryName(Path)!);
        var file = new StoreFile(SchemaName, _files, _authors.Count > 0 ? _authors : null, _packages.Count > 0 ? _packages : null);
        OutputFile.Write(Path, [.. JsonSerializer.SerializeToUtf8Bytes(file, JsonDocuments.Options), (byte)'\n']);
    }

    private sealed record StoreFile(
        [property: JsonRequired] string Schema, [property: JsonRequired] IReadOnlyList<TrustedFile> Trusted, IReadOnlyList<TrustedAuthor>? Authors = null,
        IReadOnlyList<PinnedPackage>? Packages = null);
}
