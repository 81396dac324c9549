using System.Security.Cryptography;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>An author's private key, which signs packages. It lies in a file that only its owner can read and is never shown.</summary>
public sealed class AuthorKey : IDisposable
{
    /// <summary>Name of the author's own key in the folder of keys.</summary>
    public const string FileName = "author.pem";

    private readonly ECDsa _key;

    private AuthorKey(ECDsa key, string path, bool isNew) => (_key, Path, IsNew, Public) = (key, path, isNew, PublicKey.Of(key));

    /// <summary>Its file.</summary>
    public string Path { get; }

    /// <summary>Whether it has just been made.</summary>
    public bool IsNew { get; }

    /// <summary>The key that others know it by.</summary>
    public PublicKey Public { get; }

    /// <summary>Opens a key, or makes one where there is none yet.</summary>
    /// <exception cref="InputException">The file is no private key on P-256, or cannot be read or written.</exception>
    public static AuthorKey OpenOrMake(string path) => File.Exists(path) ? Open(path) : Make(path);

    /// <summary>Opens a key.</summary>
    /// <exception cref="InputException">The file is no private key on P-256, or cannot be read.</exception>
    public static AuthorKey Open(string path)
    {
        var key = ECDsa.Create();
        try
        {
            key.ImportFromPem(File.ReadAllText(path));
            if (PublicKey.Parse(PublicKey.Of(key).ToPem()) is null)
                throw new CryptographicException();
            // A PEM file may hold the public half alone, which signs nothing.
            key.SignHash(new byte[SHA256.HashSizeInBytes]);
            return new(key, path, isNew: false);
        }
        catch (Exception e) when (e is CryptographicException or ArgumentException or IOException or UnauthorizedAccessException)
        {
            key.Dispose();
            throw new InputException("The author's key cannot be read.", path, "It should be a private key on the curve P-256 in PEM (PKCS#8, without a password).", e);
        }
    }

    /// <summary>Signs data with ECDSA over SHA-256, in DER: the same bytes each time.</summary>
    public byte[] Sign(ReadOnlySpan<byte> data) => DeterministicSignature.Sign(_key, data);

    public void Dispose() => _key.Dispose();

    private static AuthorKey Make(string path)
    {
        OutputFile.MakeFolder(System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(path))!);
        var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var form = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        // On Windows the user's application data belongs to the user alone already.
        if (!OperatingSystem.IsWindows())
            form.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        try
        {
            using var file = new StreamWriter(path, form);
            file.Write(key.ExportPkcs8PrivateKeyPem() + "\n");
            return new(key, path, isNew: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            key.Dispose();
            throw OutputFile.NotWritable(path, e);
        }
    }
}
