using Imbrex.Engine.Documents;

namespace Imbrex.Hosting.Packages;

/// <summary>A package that is unpacked and not yet in its place. Disposed of without a commit, it leaves nothing behind.</summary>
internal sealed class StagedPackage(PackageStore store, Package package, string folder, FileStream busy) : IDisposable
{
    /// <summary>Where its files are for now.</summary>
    public string Folder => folder;

    /// <summary>Puts it in its place.</summary>
    /// <param name="source">The file or feed it came from.</param>
    /// <param name="isFeed">Which of the two.</param>
    public LockedPackage Commit(string source, bool isFeed)
    {
        PackageDocument manifest = package.Manifest;
        var locked = new LockedPackage
        {
            Name = manifest.Name,
            Version = manifest.Version,
            Kind = manifest.Kind,
            Author = manifest.Author,
            Summary = manifest.Summary,
            Source = source,
            IsFeed = isFeed,
            Key = package.Key?.Fingerprint,
            Sha256 = package.Sha256,
            Scripts = manifest.Scripts is { } scripts ? [.. scripts.Select(script => script with { Kind = manifest.KindOf(script) })] : null,
            Assembly = manifest.Assembly,
            Files = package.Files,
        };
        store.Commit(folder, locked);
        return locked;
    }

    public void Dispose()
    {
        PackageStore.Discard(folder);
        busy.Dispose();
    }
}
