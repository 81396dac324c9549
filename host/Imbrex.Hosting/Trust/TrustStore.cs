using System.Text.Json;
using System.Text.Json.Serialization;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Trust;

/// <summary>One file that may run with the user's own rights.</summary>
/// <param name="Name">The file's name without its folder, for people.</param>
/// <param name="Sha256">SHA-256 of its bytes in lower-case hexadecimal.</param>
public sealed record TrustedFile([property: JsonRequired] string Name, [property: JsonRequired] string Sha256);

/// <summary>What the user has said may run with the user's own rights, by the hash of its bytes: a file that changes is asked about again.</summary>
public sealed class TrustStore
{
    private const string SchemaName = "imbrex/trust/1";

    private readonly string? _path;
    private readonly List<TrustedFile> _files;

    private TrustStore(string? path, IEnumerable<TrustedFile> files) => (_path, _files) = (path, [.. files]);

    /// <summary>Everything trusted, in the order in which it was said.</summary>
    public IReadOnlyList<TrustedFile> Files => _files;

    /// <summary>Opens a store; a file that does not exist yet trusts nothing.</summary>
    /// <param name="path">The file, or null where there is no place that belongs to the user alone: nothing is then remembered.</param>
    /// <exception cref="InputException">The file is damaged or not readable.</exception>
    public static TrustStore Open(string? path)
    {
        if (path is null || !File.Exists(path))
            return new(path, []);
        try
        {
            StoreFile file = JsonSerializer.Deserialize<StoreFile>(File.ReadAllBytes(path), JsonDocuments.Options) ?? throw new JsonException("null");
            if (file.Schema != SchemaName || file.Trusted.Any(one => one is null))
                throw new JsonException(file.Schema);
            return new(path, file.Trusted);
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

    /// <summary>Remembers a yes.</summary>
    /// <exception cref="InputException">The store's file cannot be written.</exception>
    public void Trust(TrustedFile file)
    {
        ArgumentNullException.ThrowIfNull(file);
        _files.Add(file);
        if (_path is null)
            return;
        OutputFile.MakeFolder(Path.GetDirectoryName(_path)!);
        OutputFile.Write(_path, [.. JsonSerializer.SerializeToUtf8Bytes(new StoreFile(SchemaName, _files), JsonDocuments.Options), (byte)'\n']);
    }

    private sealed record StoreFile([property: JsonRequired] string Schema, [property: JsonRequired] IReadOnlyList<TrustedFile> Trusted);
}
