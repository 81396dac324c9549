using System.Formats.Asn1;
using System.Numerics;
using System.Security.Cryptography;

namespace Imbrex.Hosting.Packages;

/// <summary>
/// ECDSA P-256 over SHA-256 whose one-time number follows from key and message (RFC 6979, section 3.2) instead of chance: the same folder packs to the same bytes, and a poor source of
/// randomness cannot give the key away. The framework signs with a random number only; it still does the arithmetic on the curve here, and verifies what comes out.
/// </summary>
internal static class DeterministicSignature
{
    private const int Octets = 32;

    /// <summary>Order of the base point of P-256 (FIPS 186-4, D.1.2.3).</summary>
    private static readonly BigInteger Order = Number(Convert.FromHexString("FFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551"));

    /// <summary>Signs data.</summary>
    /// <param name="key">A private key on P-256.</param>
    /// <param name="data">What to sign.</param>
    /// <returns>The signature in DER.</returns>
    public static byte[] Sign(ECDsa key, ReadOnlySpan<byte> data)
    {
        byte[] secret = key.ExportParameters(includePrivateParameters: true).D!;
        byte[] hash = SHA256.HashData(data);
        (BigInteger r, BigInteger s) = Sign(secret, hash);
        CryptographicOperations.ZeroMemory(secret);
        var writer = new AsnWriter(AsnEncodingRules.DER);
        using (writer.PushSequence())
        {
            writer.WriteInteger(r);
            writer.WriteInteger(s);
        }
        byte[] signature = writer.Encode();
        return key.VerifyHash(hash, signature, DSASignatureFormat.Rfc3279DerSequence) ? signature : throw new CryptographicException("A signature just made does not verify.");
    }

    private static (BigInteger R, BigInteger S) Sign(byte[] secret, byte[] hash)
    {
        BigInteger message = Number(hash) % Order;
        foreach (BigInteger once in Candidates(secret, Octet(message)))
        {
            BigInteger r = AbscissaOf(once) % Order;
            BigInteger s = BigInteger.ModPow(once, Order - 2, Order) * (message + r * Number(secret)) % Order;
            if (!r.IsZero && !s.IsZero)
                return (r, s);
        }
        throw new CryptographicException("No one-time number will do.");
    }

    // The generator of RFC 6979: HMAC_DRBG seeded with key and message.
    private static IEnumerable<BigInteger> Candidates(byte[] secret, byte[] message)
    {
        byte[] v = new byte[Octets], k = new byte[Octets];
        Array.Fill(v, (byte)1);
        foreach (byte mark in new byte[] { 0, 1 })
        {
            k = HMACSHA256.HashData(k, (byte[])[.. v, mark, .. secret, .. message]);
            v = HMACSHA256.HashData(k, v);
        }
        while (true)
        {
            v = HMACSHA256.HashData(k, v);
            BigInteger candidate = Number(v);
            if (!candidate.IsZero && candidate < Order)
                yield return candidate;
            k = HMACSHA256.HashData(k, (byte[])[.. v, 0]);
            v = HMACSHA256.HashData(k, v);
        }
    }

    // The public point of a private key is its multiple of the base point.
    private static BigInteger AbscissaOf(BigInteger multiple)
    {
        using var key = ECDsa.Create(new ECParameters { Curve = ECCurve.NamedCurves.nistP256, D = Octet(multiple) });
        return Number(key.ExportParameters(includePrivateParameters: false).Q.X!);
    }

    private static BigInteger Number(ReadOnlySpan<byte> octets) => new(octets, isUnsigned: true, isBigEndian: true);

    private static byte[] Octet(BigInteger number)
    {
        byte[] octets = new byte[Octets];
        byte[] digits = number.ToByteArray(isUnsigned: true, isBigEndian: true);
        digits.CopyTo(octets, Octets - digits.Length);
        return octets;
    }
}
