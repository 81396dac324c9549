namespace Imbrex.Engine.Documents;

/// <summary>What is installed (lock.json), file by file with its hash.</summary>
public sealed record LockDocument : JsonDocument
{
    public const string SchemaName = "imbrex/lock/1";

    public const string FileName = "lock.json";

    /// <summary>The packages, in the order of their names.</summary>
    public required IReadOnlyList<LockedPackage> Packages { get; init; }

    internal override void Validate(DocumentCheck check)
    {
        check.Each(Packages, "$.packages", (package, path) => package.Validate(check, path));
        check.Require(Packages.Select(package => package?.Name?.ToUpperInvariant()).Distinct(StringComparer.Ordinal).Count() == Packages.Count, "$.packages", "Two packages have one name.");
    }
}

/// <summary>An installed package.</summary>
public sealed record LockedPackage
{
    private const int LongestLine = 200, LongestSource = 4096;

    /// <summary>Its name, and that of its folder.</summary>
    public required string Name { get; init; }

    public required string Version { get; init; }

    public required string Kind { get; init; }

    public required string Author { get; init; }

    public required string Summary { get; init; }

    /// <summary>The file, or the feed, that it came from.</summary>
    public required string Source { get; init; }

    /// <summary>Whether <see cref="Source"/> is a feed.</summary>
    public required bool IsFeed { get; init; }

    /// <summary>Fingerprint of the key that signed it; null for an unsigned one.</summary>
    public string? Key { get; init; }

    /// <summary>SHA-256 of the package's file.</summary>
    public required string Sha256 { get; init; }

    /// <summary>Scripts by name, kind and file.</summary>
    public IReadOnlyList<PackageScript>? Scripts { get; init; }

    /// <summary>A compiled plugin's main assembly.</summary>
    public string? Assembly { get; init; }

    /// <summary>Every installed file.</summary>
    public required IReadOnlyList<LockedFile> Files { get; init; }

    /// <summary>Whether it holds something that runs with the user's own rights.</summary>
    public bool NeedsTrust() => Assembly is not null || (Scripts ?? []).Any(script => script.Kind == PackageWords.Batch);

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(PackageWords.IsName(Name), path + ".name", "A name is kebab-case.");
        check.Require(PackageWords.IsVersion(Version), path + ".version", "The version is no version by Semantic Versioning.");
        check.Require(PackageWords.Kinds.Contains(Kind), path + ".kind", "There is no such kind.");
        check.Require(PackageWords.IsLine(Author, LongestLine), path + ".author", "The author is one line of visible characters.");
        check.Require(PackageWords.IsLine(Summary, LongestLine), path + ".summary", "The summary is one line of visible characters.");
        check.Require(PackageWords.IsLine(Source, LongestSource), path + ".source", "The source is one line of visible characters.");
        check.Require(Key is null || PackageWords.IsLine(Key, LongestLine), path + ".key", "The key is one line of visible characters.");
        check.Require(PackageWords.IsSha256(Sha256), path + ".sha256", "A SHA-256 is 64 hexadecimal digits in lower case.");
        check.Require(Assembly is null || PackagePath.Fault(Assembly) is null, path + ".assembly", "The assembly is no path in the package.");
        check.Each(Scripts, path + ".scripts", (script, at) =>
        {
            script.Validate(check, at, PackageWords.Scripts);
            check.Require(script.Name is not null, at + ".name", "The script has no name.");
        });
        check.Each(Files, path + ".files", (file, at) =>
        {
            check.Require(PackagePath.Fault(file.Path) is null, at + ".path", "The path is none of a package.");
            check.Require(PackageWords.IsSha256(file.Sha256), at + ".sha256", "A SHA-256 is 64 hexadecimal digits in lower case.");
        });
    }
}

/// <summary>A file and its hash.</summary>
public sealed record LockedFile
{
    /// <summary>Path in the package's folder, with '/' between its steps.</summary>
    public required string Path { get; init; }

    /// <summary>SHA-256 of its bytes in lower-case hexadecimal.</summary>
    public required string Sha256 { get; init; }
}
