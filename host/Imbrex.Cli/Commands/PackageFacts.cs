using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;

namespace Imbrex.Cli.Commands;

/// <summary>A package as it is told to machines.</summary>
internal sealed record PackageFacts(
    string Name, string Version, string Kind, string Author, string Summary, string? Licence, string? Sdk, string Source, string Sha256, string? Key, string State, string? Drawing,
    IReadOnlyList<PackageScript>? Scripts, string? Assembly, IReadOnlyList<LockedFile> Files)
{
    public static PackageFacts Of(Package package, string source, string state) => new(package.Manifest.Name, package.Manifest.Version, package.Manifest.Kind, package.Manifest.Author, package.Manifest.Summary,
        package.Manifest.Licence, package.Manifest.Sdk, source, package.Sha256, package.Key?.Fingerprint, state, package.Manifest.Drawing, package.Manifest.Scripts, package.Manifest.Assembly, package.Files);

    public static PackageFacts Of(LockedPackage package, PackageDocument? manifest, string state) => new(package.Name, package.Version, package.Kind, package.Author, package.Summary,
        manifest?.Licence, manifest?.Sdk, package.Source, package.Sha256, package.Key, state, manifest?.Drawing, package.Scripts, package.Assembly, package.Files);
}
