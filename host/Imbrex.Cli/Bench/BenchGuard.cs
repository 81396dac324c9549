using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.Http;

namespace Imbrex.Cli.Bench;

/// <summary>
/// Who may speak to the bench: only the page whose address the user was told. Other programs and other pages in the same browser do not know the token; the check of
/// Host keeps out pages that make a name of theirs point to this machine (DNS rebinding), the check of Origin those that send requests blindly.
/// </summary>
internal sealed class BenchGuard
{
    private const int TokenBytes = 32;

    private readonly byte[] _token;

    public BenchGuard()
    {
        Token = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(TokenBytes));
        _token = Encoding.ASCII.GetBytes(Token);
    }

    /// <summary>The secret part of the address.</summary>
    public string Token { get; }

    /// <summary>Where the page lies.</summary>
    public string Address(int port) => string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{port}/{Token}/");

    /// <summary>The part of the path behind the token, or null where the request is not to be answered.</summary>
    public string? Path(HttpRequest request, int port)
    {
        string host = string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{port}");
        if (request.Headers.Host.Count != 1 || request.Headers.Host != host)
            return null;
        if (request.Headers.Origin is { Count: > 0 } origin && (origin.Count > 1 || origin != "http://" + host))
            return null;
        if (request.Headers["Sec-Fetch-Site"] is { Count: > 0 } site && site != "same-origin" && site != "none")
            return null;
        string path = request.Path.Value ?? "";
        int end = path.IndexOf('/', Math.Min(1, path.Length));
        return end > 0 && CryptographicOperations.FixedTimeEquals(Encoding.UTF8.GetBytes(path[1..end]), _token) ? path[(end + 1)..] : null;
    }

    /// <summary>What every answer carries: nothing is kept, nothing is framed, nothing comes from elsewhere.</summary>
    public static void Harden(IHeaderDictionary headers)
    {
        headers.ContentSecurityPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
        headers.CacheControl = "no-store";
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
    }
}
