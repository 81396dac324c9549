using System.Security.Cryptography;

namespace Imbrex.Hosting.Packages;

/// <summary>An author's public key, on NIST P-256.</summary>
public sealed class PublicKey
{
    // SubjectPublicKeyInfo of a key on P-256 with an uncompressed point has one form only (RFC 5480); the point follows.
    private static ReadOnlySpan<byte> Head =>
    [
        0x30, 0x59, 0x30, 0x13, 0x06, 0x07, 0x2a, 0x86, 0x48, 0xce, 0x3d, 0x02, 0x01, 0x06, 0x08, 0x2a, 0x86, 0x48, 0xce, 0x3d, 0x03, 0x01, 0x07, 0x03, 0x42, 0x00, 0x04,
    ];

    private const int PointBytes = 64;

    private readonly byte[] _encoded;

    private PublicKey(byte[] encoded) => (_encoded, Fingerprint) = (encoded, KeyFingerprint.Of(encoded));

    /// <summary>Its name for people, which stands for it everywhere.</summary>
    public string Fingerprint { get; }

    /// <summary>The key of a private key.</summary>
    internal static PublicKey Of(ECDsa key) => new(key.ExportSubjectPublicKeyInfo());

    /// <summary>Reads a key in PEM.</summary>
    /// <returns>Null where the text is no public key on P-256.</returns>
    public static PublicKey? Parse(string pem)
    {
        if (!PemEncoding.TryFind(pem, out PemFields fields) || pem[fields.Label] != "PUBLIC KEY")
            return null;
        byte[] encoded = Convert.FromBase64String(pem[fields.Base64Data]);
        if (encoded.Length != Head.Length + PointBytes || !encoded.AsSpan().StartsWith(Head))
            return null;
        var key = new PublicKey(encoded);
        try
        {
            key.Open().Dispose();
            return key;
        }
        catch (CryptographicException)
        {
            // The point does not lie on the curve.
            return null;
        }
    }

    public string ToPem() => PemEncoding.WriteString("PUBLIC KEY", _encoded) + "\n";

    /// <summary>Whether a signature is this key's for some data.</summary>
    /// <param name="data">What was signed.</param>
    /// <param name="signature">ECDSA over SHA-256, in DER.</param>
    public bool Verifies(ReadOnlySpan<byte> data, ReadOnlySpan<byte> signature)
    {
        using ECDsa key = Open();
        try
        {
            return key.VerifyData(data, signature, HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);
        }
        catch (CryptographicException)
        {
            return false;
        }
    }

    private ECDsa Open()
    {
        var key = ECDsa.Create();
        try
        {
            key.ImportSubjectPublicKeyInfo(_encoded, out _);
            return key;
        }
        catch (CryptographicException)
        {
            key.Dispose();
            throw;
        }
    }
}
