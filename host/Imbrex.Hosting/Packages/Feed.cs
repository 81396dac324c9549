using System.Security.Cryptography;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;
using NuGet.Versioning;

namespace Imbrex.Hosting.Packages;

/// <summary>Packages to choose from: a folder, or a static web space with an index.</summary>
public abstract class Feed
{
    private const int IndexBytes = 8 << 20;

    /// <summary>Where it is, as it is written down.</summary>
    public abstract string Location { get; }

    /// <summary>Opens a feed by its folder or address; nothing is read yet.</summary>
    /// <exception cref="InputException">There is no such folder.</exception>
    /// <exception cref="RefusalException">The address is not encrypted.</exception>
    public static Feed Open(string location) => Open(location, WebReader.UsualTime);

    internal static Feed Open(string location, TimeSpan time)
    {
        if (WebAddress(location) is { } address)
        {
            WebReader.RequireSafe(address);
            return new WebFeed(address, new(time));
        }
        return Directory.Exists(location)
            ? new FolderFeed(Path.GetFullPath(location))
            : throw new InputException($"There is no folder {location}.", location, "Name a folder of packages, or an address that begins with https://.");
    }

    /// <summary>The address that a text is, or null where it is none of the web.</summary>
    public static Uri? WebAddress(string location) =>
        Uri.TryCreate(location, UriKind.Absolute, out Uri? address) && (address.Scheme == Uri.UriSchemeHttps || address.Scheme == Uri.UriSchemeHttp) ? address : null;

    /// <summary>Gets a single package by its address.</summary>
    /// <exception cref="ImbrexException">It cannot be got, or a rule refuses it.</exception>
    public static async Task<Package> GetAsync(Uri address, CancellationToken cancellation) =>
        Package.Parse(await new WebReader(WebReader.UsualTime).GetAsync(address, PackageLimits.Package, cancellation), address.ToString());

    /// <summary>What there is.</summary>
    /// <exception cref="InputException">The index is missing or faulty.</exception>
    public async Task<IReadOnlyList<FeedPackage>> ListAsync(CancellationToken cancellation) => (await IndexAsync(cancellation)).Packages;

    /// <summary>The version of a package that is asked for: a given one, or the newest, and a pre-release only where there is nothing else.</summary>
    /// <exception cref="InputException">There is none.</exception>
    public async Task<FeedPackage> FindAsync(string name, string? version, CancellationToken cancellation)
    {
        IReadOnlyList<FeedPackage> all = await ListAsync(cancellation);
        FeedPackage[] named = [.. all.Where(package => package.Name == name)];
        if (named.Length == 0)
        {
            string[] known = [.. all.Select(package => package.Name).Distinct()];
            string remedy = known.Length == 0 ? "The feed is empty." : NearestWord.Suggest(name, known) ?? $"It has: {string.Join(", ", known.Take(20))}.";
            throw new InputException($"The feed has no package '{name}'.", Location, remedy);
        }
        if (version is null)
            return named.OrderBy(package => !Parse(package).IsPrerelease).ThenBy(Parse).Last();
        return Array.Find(named, package => package.Version == version)
            ?? throw new InputException($"The feed has no version {version} of {name}.", Location,
                $"It has: {string.Join(", ", named.OrderBy(Parse).Select(package => package.Version))}.");
    }

    /// <summary>Gets a package that the feed lists, and proves that it is the listed one.</summary>
    /// <exception cref="ImbrexException">It cannot be got, or a rule refuses it.</exception>
    public async Task<Package> FetchAsync(FeedPackage listed, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(listed);
        byte[] bytes = await BytesAsync(listed.File, PackageLimits.Package, cancellation);
        string place = $"{listed.File} of {Location}";
        if (Convert.ToHexStringLower(SHA256.HashData(bytes)) != listed.Sha256)
            throw new RefusalException($"{listed.File} is not the file that the feed lists: its SHA-256 is another.", Location,
                "Tell whoever keeps the feed; imbrex plugin index renews the list.");
        var package = Package.Parse(bytes, place);
        return package.Manifest.Name == listed.Name && package.Manifest.Version == listed.Version
            ? package
            : throw new RefusalException($"{listed.File} is {package.Title}, and the feed lists it as {listed.Name} {listed.Version}.", Location, "Tell whoever keeps the feed.");
    }

    private protected abstract Task<byte[]> BytesAsync(string file, int most, CancellationToken cancellation);

    private protected virtual async Task<FeedDocument> IndexAsync(CancellationToken cancellation) =>
        JsonDocuments.Parse<FeedDocument>(await BytesAsync(FeedDocument.FileName, IndexBytes, cancellation), FeedDocument.SchemaName, $"{FeedDocument.FileName} of {Location}");

    private static SemanticVersion Parse(FeedPackage package) => SemanticVersion.Parse(package.Version);

    private sealed class FolderFeed(string folder) : Feed
    {
        public override string Location => folder;

        private protected override Task<byte[]> BytesAsync(string file, int most, CancellationToken cancellation)
        {
            string path = Path.Combine(folder, file);
            try
            {
                return Task.FromResult(BoundedFile.Read(path, most)
                    ?? throw new RefusalException($"{file} has more than {most >> 20} MB.", path, "Ask its author for a smaller one."));
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                throw new InputException($"Cannot read {path}.", path, "Check the path and the rights to read it.", e);
            }
        }

        // A folder needs no index: its packages can be looked at.
        private protected override Task<FeedDocument> IndexAsync(CancellationToken cancellation) =>
            File.Exists(Path.Combine(folder, FeedDocument.FileName)) ? base.IndexAsync(cancellation) : Task.FromResult(FeedIndex.Of(folder, cancellation).Index);
    }

    private sealed class WebFeed : Feed
    {
        private readonly Uri _address;
        private readonly WebReader _reader;

        // Files lie below the address: without a slash at its end they would lie beside its last step.
        public WebFeed(Uri address, WebReader reader)
        {
            string path = address.GetLeftPart(UriPartial.Path);
            const string Index = "/" + FeedDocument.FileName;
            path = path.EndsWith(Index, StringComparison.Ordinal) ? path[..^Index.Length] : path;
            _address = new(path.TrimEnd('/') + "/");
            _reader = reader;
        }

        public override string Location => _address.ToString();

        private protected override Task<byte[]> BytesAsync(string file, int most, CancellationToken cancellation) => _reader.GetAsync(new(_address, file), most, cancellation);
    }
}
