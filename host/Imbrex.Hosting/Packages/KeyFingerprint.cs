using System.Security.Cryptography;

namespace Imbrex.Hosting.Packages;

/// <summary>
/// A public key's name for people: the first 125 bits of the SHA-256 of its SubjectPublicKeyInfo, in five groups of five characters (the 32 of Crockford's base 32, which has no letters
/// that look like digits). 125 bits are too many for anyone to find a second key with the same name, so that it stands for the key everywhere.
/// </summary>
public static class KeyFingerprint
{
    private const string Alphabet = "0123456789abcdefghjkmnpqrstvwxyz";
    private const int Groups = 5, GroupLength = 5, BitsEach = 5;

    /// <summary>The fingerprint of a key.</summary>
    /// <param name="publicKey">SubjectPublicKeyInfo in DER.</param>
    public static string Of(ReadOnlySpan<byte> publicKey)
    {
        byte[] hash = SHA256.HashData(publicKey);
        char[] letters = [.. Enumerable.Range(0, Groups * GroupLength).Select(i => Alphabet[Bits(hash, i * BitsEach)])];
        return string.Join('-', letters.Chunk(GroupLength).Select(group => new string(group)));
    }

    /// <summary>A fingerprint as the user may have typed it, or null where the text is none.</summary>
    public static string? Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        string letters = text.ToLowerInvariant().Replace("-", "", StringComparison.Ordinal).Replace('o', '0').Replace('i', '1').Replace('l', '1');
        return letters.Length == Groups * GroupLength && letters.All(letter => Alphabet.Contains(letter))
            ? string.Join('-', letters.Chunk(GroupLength).Select(group => new string(group)))
            : null;
    }

    private static int Bits(byte[] hash, int at)
    {
        int pair = (hash[at / 8] << 8) | hash[at / 8 + 1];
        return (pair >> (16 - BitsEach - at % 8)) & ((1 << BitsEach) - 1);
    }
}
