using System.Formats.Asn1;
using System.Numerics;
using System.Security.Cryptography;
using System.Text;
using Imbrex.Hosting.Packages;
using Xunit;

namespace Imbrex.Reference.Tests.Packages;

/// <summary>
/// Signatures of packages against RFC 6979, appendix A.2.5 (ECDSA with the curve P-256 and SHA-256: key, messages and signatures; from memory, and each of them verifies).
/// </summary>
public sealed class SignatureTests
{
    private const string Secret = "C9AFA9D845BA75166B5C215767B1D6934E50C3DB36E89B127B8A622B120F6721";
    private const string PublicX = "60FED4BA255A9D31C961EB74C6356D68C049B8923B61FA6CE669622E60F29FB6";
    private const string PublicY = "7903FE1008B8BC99A41AE9E95628BC64F2F1B20C2D7E9F5177A3C294D4462299";

    [Theory]
    [InlineData("sample", "EFD48B2AACB6A8FD1140DD9CD45E81D69D2C877B56AAF991C34D0EA84EAF3716", "F7CB1C942D657C41D436C7A1B6E29F65F3E900DBB9AFF4064DC4AB2F843ACDA8")]
    [InlineData("test", "F1ABB023518351CD71D881567B1EA663ED3EFCF6C5132B354F28D3B0B7D38367", "019F4113742A2B14BD25926B49C649155F267E60D3814B4C0CC84250E46F0083")]
    public void A_signature_is_the_published_one_and_verifies(string message, string r, string s)
    {
        using var key = ECDsa.Create(new ECParameters { Curve = ECCurve.NamedCurves.nistP256, D = Convert.FromHexString(Secret) });
        byte[] data = Encoding.ASCII.GetBytes(message), expected = Der(r, s);

        Assert.Equal(expected, DeterministicSignature.Sign(key, data));

        PublicKey known = Published();
        Assert.True(known.Verifies(data, expected));
        Assert.False(known.Verifies(Encoding.ASCII.GetBytes(message + "!"), expected));
        Assert.False(known.Verifies(data, Der(s, r)));
        Assert.False(known.Verifies(data, []));
        Assert.Equal(known.Fingerprint, PublicKey.Of(key).Fingerprint);
    }

    [Fact]
    public void A_point_beside_the_curve_is_no_key()
    {
        string pem = Published().ToPem();
        byte[] encoded = Convert.FromBase64String(string.Concat(pem.Split('\n').Where(line => !line.StartsWith('-'))));
        encoded[^1] ^= 1;

        Assert.Null(PublicKey.Parse(PemEncoding.WriteString("PUBLIC KEY", encoded)));
    }

    private static PublicKey Published()
    {
        using var key = ECDsa.Create(new ECParameters { Curve = ECCurve.NamedCurves.nistP256, Q = new() { X = Convert.FromHexString(PublicX), Y = Convert.FromHexString(PublicY) } });
        return PublicKey.Parse(key.ExportSubjectPublicKeyInfoPem() + "\n")!;
    }

    private static byte[] Der(string r, string s)
    {
        var writer = new AsnWriter(AsnEncodingRules.DER);
        using (writer.PushSequence())
        {
            writer.WriteInteger(BigInteger.Parse("0" + r, System.Globalization.NumberStyles.HexNumber, null));
            writer.WriteInteger(BigInteger.Parse("0" + s, System.Globalization.NumberStyles.HexNumber, null));
        }
        return writer.Encode();
    }
}
