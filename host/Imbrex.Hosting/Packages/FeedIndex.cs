using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using NuGet.Versioning;

namespace Imbrex.Hosting.Packages;

/// <summary>Makes the index of a folder of packages.</summary>
/// <param name="Index">Sound packages by name and version.</param>
/// <param name="LeftOut">Files that are no packages or are refused, each with the reason.</param>
public sealed record FeedIndex(FeedDocument Index, IReadOnlyList<(string File, string Reason)> LeftOut)
{
    /// <summary>Reads all packages of a folder.</summary>
    public static FeedIndex Of(string folder, CancellationToken cancellation)
    {
        var packages = new List<FeedPackage>();
        var leftOut = new List<(string, string)>();
        foreach (string path in Directory.EnumerateFiles(folder, "*.nupkg").Order(StringComparer.Ordinal))
        {
            cancellation.ThrowIfCancellationRequested();
            string file = Path.GetFileName(path);
            try
            {
                if (PackagePath.Fault(file) is { } fault)
                    throw new InputException($"'{file}' {fault}.");
                FeedPackage package = Entry(Package.Read(path), file);
                if (packages.Find(other => other.Name == package.Name && other.Version == package.Version) is { } same)
                    throw new InputException($"It is the same version of {package.Name} as {same.File}.");
                packages.Add(package);
            }
            catch (ImbrexException e)
            {
                leftOut.Add((file, e.Message));
            }
        }
        var ordered = packages.OrderBy(package => package.Name, StringComparer.Ordinal).ThenBy(package => SemanticVersion.Parse(package.Version));
        return new(new FeedDocument { Schema = FeedDocument.SchemaName, Packages = [.. ordered] }, leftOut);
    }

    private static FeedPackage Entry(Package package, string file) => new()
    {
        Name = package.Manifest.Name,
        Version = package.Manifest.Version,
        File = file,
        Sha256 = package.Sha256,
        Summary = package.Manifest.Summary,
    };
}
