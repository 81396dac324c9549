using Imbrex.Engine.Documents;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;
using NuGet.Versioning;

namespace Imbrex.Hosting.Packages;

/// <summary>What installing came to.</summary>
public enum InstallOutcome
{
    /// <summary>It was not there before.</summary>
    Added,

    /// <summary>A newer version took the place of an older one.</summary>
    Updated,

    /// <summary>It was there, and is whole.</summary>
    Unchanged,

    /// <summary>It was there, and had been damaged.</summary>
    Repaired,
}

/// <summary>What was installed.</summary>
/// <param name="Outcome">What it came to.</param>
/// <param name="Package">What is there now.</param>
/// <param name="Before">What was there before, or null.</param>
public sealed record Installed(InstallOutcome Outcome, LockedPackage Package, LockedPackage? Before);

/// <summary>Installs packages by the rules of names, keys and versions.</summary>
/// <param name="store">Where they go.</param>
/// <param name="trust">What the user trusts.</param>
/// <param name="ask">Asks the user about a package that will run with the user's own rights; returns on a yes and throws otherwise.</param>
public sealed class PackageInstaller(PackageStore store, TrustStore trust, Action<Package> ask)
{
    /// <summary>Installs a package.</summary>
    /// <param name="package">Verified.</param>
    /// <param name="source">The file or feed it came from.</param>
    /// <param name="isFeed">Which of the two.</param>
    /// <param name="cancellation">The user's wish to stop.</param>
    /// <exception cref="RefusalException">A rule refuses it, or the user does.</exception>
    public Installed Add(Package package, string source, bool isFeed, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(package);
        LockedPackage? before = store.Find(package.Manifest.Name);
        RequireKey(package, before);
        bool isSame = before?.Sha256 == package.Sha256;
        if (before is not null && !isSame)
            RequireNewer(package, before);
        RequireFreeNames(package);
        if (isSame && store.Damage(before!) is null)
        {
            RequireTrust(package, cancellation);
            return new(InstallOutcome.Unchanged, before!, before);
        }
        using StagedPackage staged = store.Stage(package, cancellation);
        RequireContract(package, staged.Folder);
        RequireTrust(package, cancellation);
        LockedPackage now = staged.Commit(source, isFeed);
        return new(before is null ? InstallOutcome.Added : isSame ? InstallOutcome.Repaired : InstallOutcome.Updated, now, before);
    }

    private void RequireKey(Package package, LockedPackage? before)
    {
        string name = package.Manifest.Name;
        string? key = package.Key?.Fingerprint, known = before is null ? trust.KeyOf(name) : before.Key;
        if (known == key || (known is null && before is null))
            return;
        string now = key is null ? "This one is not signed" : $"This one is signed with {key}";
        throw new RefusalException(
            before is null ? $"The name '{name}' belongs to the key {known}. {now}." : $"'{name}' is installed, {(known is null ? "without a signature" : $"signed with {known}")}. {now}: another's package, or a changed key.",
            package.Title, KeyRemedy(name, before is not null));
    }

    private string KeyRemedy(string name, bool isInstalled)
    {
        List<string> steps = [];
        if (isInstalled)
            steps.Add($"imbrex plugin remove {name}");
        if (trust.KeyOf(name) is not null)
            steps.Add($"imbrex plugin trust --forget {name}");
        return $"Ask its author. If you know that the key has changed for a good reason: {string.Join(", ", steps)}, and add it again.";
    }

    private static void RequireNewer(Package package, LockedPackage before)
    {
        string remedy = $"To have it all the same: imbrex plugin remove {before.Name}, and add it again.";
        int order = SemanticVersion.Parse(package.Manifest.Version).CompareTo(SemanticVersion.Parse(before.Version));
        if (order < 0)
            throw new RefusalException($"{before.Name} {before.Version} is installed, and {package.Manifest.Version} is older.", package.Title, remedy);
        if (order == 0)
            throw new RefusalException($"{before.Name} {before.Version} is installed, and this is another package of the same version.", package.Title,
                $"Its author should raise the version. {remedy}");
    }

    private void RequireFreeNames(Package package)
    {
        foreach (PackageScript script in package.Manifest.Scripts ?? [])
        {
            string kind = package.Manifest.KindOf(script);
            if (store.Scripts(kind).FirstOrDefault(other => other.Name == script.Name && other.Package.Name != package.Manifest.Name) is { } taken)
                throw new RefusalException($"The {kind} name '{script.Name}' is taken by the package {taken.Package.Name}.", package.Title,
                    $"Remove that one first: imbrex plugin remove {taken.Package.Name}");
        }
    }

    private void RequireTrust(Package package, CancellationToken cancellation)
    {
        if (!package.NeedsTrust)
            return;
        var pinned = new PinnedPackage(package.Manifest.Name, package.Key!.Fingerprint);
        if (!trust.IsTrusted(pinned.Name, pinned.Key))
            ask(package);
        cancellation.ThrowIfCancellationRequested();
        trust.Pin(pinned);
    }

    private static void RequireContract(Package package, string folder)
    {
        if (package.Manifest.Assembly is not { } assembly)
            return;
        var plugin = new PluginFile(Path.GetFileNameWithoutExtension(assembly), Path.Combine(folder, assembly), IsBuiltIn: false);
        if (PluginContract.Refusal(plugin) is { } refusal)
            throw new RefusalException(refusal, package.Title, "Ask its author for a package for this program.");
        string built = PluginContract.SdkVersion(plugin.Path)!.ToString(3);
        if (built != package.Manifest.Sdk)
            throw new RefusalException($"The manifest says SDK {package.Manifest.Sdk}, and the assembly was built for {built}.", package.Title, "Ask its author to pack it again.");
    }
}
