using System.Net;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>Gets files from a web space: encrypted unless it is this machine itself, within limits of size and time, wherever it is sent on to.</summary>
/// <param name="time">How long one file may take.</param>
internal sealed class WebReader(TimeSpan time)
{
    private const int MostRedirections = 5;
    private const int BufferBytes = 64 * 1024;

    /// <summary>How long one file may take, unless a test says otherwise.</summary>
    public static readonly TimeSpan UsualTime = TimeSpan.FromMinutes(2);

    /// <summary>The bytes of a file.</summary>
    /// <param name="address">Where it is.</param>
    /// <param name="most">How many bytes it may have.</param>
    /// <param name="cancellation">The user's wish to stop.</param>
    /// <exception cref="InputException">It cannot be got.</exception>
    /// <exception cref="RefusalException">It is too large, or does not come by https.</exception>
    public async Task<byte[]> GetAsync(Uri address, int most, CancellationToken cancellation)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        limit.CancelAfter(time);
        using var client = new HttpClient(new SocketsHttpHandler { AllowAutoRedirect = false, UseCookies = false, ConnectTimeout = time }) { Timeout = Timeout.InfiniteTimeSpan };
        try
        {
            return await FollowAsync(client, address, most, limit.Token);
        }
        catch (Exception e) when (e is HttpRequestException or IOException)
        {
            throw new InputException($"Cannot get {address}: {e.Message.Split('\n')[0]}", address.ToString(), "Check the address and the network.", e);
        }
        catch (OperationCanceledException e) when (!cancellation.IsCancellationRequested)
        {
            throw new InputException($"{address} did not arrive within {time.TotalSeconds:0.#} s.", address.ToString(), "Try again later.", e);
        }
    }

    /// <summary>Refuses an address that anyone on the way could answer for.</summary>
    /// <exception cref="RefusalException">It is not encrypted, or holds a password.</exception>
    public static void RequireSafe(Uri address)
    {
        if (address.UserInfo.Length > 0)
            throw new RefusalException("The address holds a name or a password.", address.Host, "Use a feed that needs none.");
        if (address.Scheme != Uri.UriSchemeHttps && !(address.Scheme == Uri.UriSchemeHttp && address.IsLoopback))
            throw new RefusalException($"{address} is not encrypted: anyone on the way could change what arrives.", address.ToString(), "Use https.");
    }

    /// <summary>Where a redirection leads. What runs on this machine answers to whoever sits at it, not to a stranger's web space.</summary>
    /// <exception cref="RefusalException">From elsewhere to this machine.</exception>
    internal static Uri Onward(Uri from, Uri to) => to.IsLoopback && !from.IsLoopback
        ? throw new RefusalException($"{from} sends on to this machine itself.", from.ToString(), "Tell whoever keeps the feed.")
        : to;

    private static async Task<byte[]> FollowAsync(HttpClient client, Uri address, int most, CancellationToken cancellation)
    {
        for (int turn = 0; turn <= MostRedirections; turn++)
        {
            RequireSafe(address);
            using HttpResponseMessage response = await client.GetAsync(address, HttpCompletionOption.ResponseHeadersRead, cancellation);
            if (response.StatusCode is HttpStatusCode.MovedPermanently or HttpStatusCode.Found or HttpStatusCode.SeeOther or HttpStatusCode.TemporaryRedirect or HttpStatusCode.PermanentRedirect
                && response.Headers.Location is { } next)
            {
                address = Onward(address, new(address, next));
                continue;
            }
            if (!response.IsSuccessStatusCode)
                throw new InputException($"{address} answers {(int)response.StatusCode} ({response.StatusCode}).", address.ToString(), "Check the address.");
            return await ReadAsync(response, address, most, cancellation);
        }
        throw new InputException($"{address} sends on and on.", address.ToString(), "Check the address.");
    }

    private static async Task<byte[]> ReadAsync(HttpResponseMessage response, Uri address, int most, CancellationToken cancellation)
    {
        var refusal = new RefusalException($"{address} has more than {most >> 20} MB.", address.ToString(), "Ask its author for a smaller one.");
        if (response.Content.Headers.ContentLength > most)
            throw refusal;
        using Stream content = await response.Content.ReadAsStreamAsync(cancellation);
        using var bytes = new MemoryStream();
        byte[] buffer = new byte[BufferBytes];
        for (int read; (read = await content.ReadAsync(buffer, cancellation)) > 0;)
        {
            if (bytes.Length + read > most)
                throw refusal;
            bytes.Write(buffer, 0, read);
        }
        return bytes.ToArray();
    }
}
