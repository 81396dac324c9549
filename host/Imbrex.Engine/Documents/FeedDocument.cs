namespace Imbrex.Engine.Documents;

/// <summary>What a feed offers (imbrex-feed.json): the packages that lie beside it, in a folder or a static web space.</summary>
public sealed record FeedDocument : JsonDocument
{
    public const string SchemaName = "imbrex/feed/1";

    public const string FileName = "imbrex-feed.json";

    private const int MostPackages = 10_000;

    /// <summary>The packages, in the order of their names and versions.</summary>
    public required IReadOnlyList<FeedPackage> Packages { get; init; }

    internal override void Validate(DocumentCheck check)
    {
        check.Require(Packages.Count <= MostPackages, "$.packages", $"A feed has at most {MostPackages} packages.");
        check.Each(Packages, "$.packages", (package, path) => package.Validate(check, path));
    }
}

/// <summary>One version of a package in a feed.</summary>
public sealed record FeedPackage
{
    /// <summary>Name of the package.</summary>
    public required string Name { get; init; }

    /// <summary>Its version.</summary>
    public required string Version { get; init; }

    /// <summary>Name of the .nupkg file beside the index.</summary>
    public required string File { get; init; }

    /// <summary>SHA-256 of the file in lower-case hexadecimal.</summary>
    public required string Sha256 { get; init; }

    /// <summary>What it is for.</summary>
    public string? Summary { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(PackageWords.IsName(Name), path + ".name", "A name is kebab-case.");
        check.Require(PackageWords.IsVersion(Version), path + ".version", "The version is no version by Semantic Versioning.");
        check.Require(PackagePath.Fault(File) is null && !File.Contains('/') && File.EndsWith(".nupkg", StringComparison.Ordinal), path + ".file", "The file is the plain name of a .nupkg beside the index.");
        check.Require(PackageWords.IsSha256(Sha256), path + ".sha256", "A SHA-256 is 64 hexadecimal digits in lower case.");
        check.Require(Summary is null || PackageWords.IsLine(Summary, 200), path + ".summary", "The summary is one line of visible characters.");
    }
}
