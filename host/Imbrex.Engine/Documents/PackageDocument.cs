namespace Imbrex.Engine.Documents;

/// <summary>What a package of scripts or of a compiled plugin is (imbrex-package.json).</summary>
public sealed record PackageDocument : JsonDocument
{
    public const string SchemaName = "imbrex/package/1";

    /// <summary>The file's name, in the folder that is packed and in the package.</summary>
    public const string FileName = "imbrex-package.json";

    /// <summary>Most letters of an author's name.</summary>
    public const int LongestAuthor = 100;

    private const int LongestSummary = 200, LongestLicence = 100, MostScripts = 100;

    /// <summary>Name of the package in kebab-case, such as <c>brick-bonds</c>.</summary>
    public required string Name { get; init; }

    /// <summary>Version by Semantic Versioning, such as <c>1.2.0</c> or <c>2.0.0-beta.1</c>.</summary>
    public required string Version { get; init; }

    /// <summary><c>layout</c>, <c>adapter</c> or <c>batch</c> for scripts of one kind, <c>scripts</c> for several kinds, <c>plugin</c> for a compiled plugin.</summary>
    public required string Kind { get; init; }

    /// <summary>Who made it.</summary>
    public required string Author { get; init; }

    /// <summary>The licence as an SPDX expression, such as <c>MIT</c>.</summary>
    public required string Licence { get; init; }

    /// <summary>One line that says what it is for.</summary>
    public required string Summary { get; init; }

    /// <summary>Version of the SDK that it was made for; packing fills it in.</summary>
    public string? Sdk { get; init; }

    /// <summary>The scripts of the package; packing fills it in with every .csx file where there is one kind only.</summary>
    public IReadOnlyList<PackageScript>? Scripts { get; init; }

    /// <summary>File name of a compiled plugin's main assembly; packing finds it.</summary>
    public string? Assembly { get; init; }

    /// <summary>A drawing of what it does, SVG or PNG; for a layout, packing draws one where there is none.</summary>
    public string? Drawing { get; init; }

    /// <summary>The kind of one of its scripts: its own, or else the package's.</summary>
    public string KindOf(PackageScript script) => script.Kind ?? Kind;

    /// <summary>Whether it holds something that runs with the user's own rights.</summary>
    public bool NeedsTrust() => Kind == PackageWords.Plugin || (Scripts ?? []).Any(script => KindOf(script) == PackageWords.Batch);

    internal override void Validate(DocumentCheck check)
    {
        check.Require(PackageWords.IsName(Name), "$.name", "A name is kebab-case (a-z, 0-9, hyphens between them), begins with a letter, has at most 40 characters and is no device of Windows.");
        check.Require(PackageWords.IsVersion(Version), "$.version", $"\"{Version}\" is no version by Semantic Versioning (such as 1.2.0 or 2.0.0-beta.1) without build metadata.");
        check.Require(PackageWords.Kinds.Contains(Kind), "$.kind", $"The kind is one of {string.Join(", ", PackageWords.Kinds)}.");
        check.Require(PackageWords.IsLine(Author, LongestAuthor), "$.author", $"The author is one line of 1 to {LongestAuthor} visible characters.");
        check.Require(PackageWords.IsLine(Licence, LongestLicence), "$.licence", "The licence is an SPDX expression, such as MIT.");
        check.Require(PackageWords.IsLine(Summary, LongestSummary), "$.summary", $"The summary is one line of 1 to {LongestSummary} visible characters.");
        check.Require(Sdk is null || (System.Version.TryParse(Sdk, out Version? sdk) && sdk.Build >= 0 && sdk.Revision < 0), "$.sdk",
            $"\"{Sdk}\" is no version of the SDK, such as 0.1.0.");
        check.Require(Drawing is null || (PackagePath.Fault(Drawing) is null && Path.GetExtension(Drawing) is ".svg" or ".png"), "$.drawing",
            "The drawing is an .svg or .png file of the package.");
        bool isAssembly = Assembly is null || (PackagePath.Fault(Assembly) is null && !Assembly.Contains('/') && Assembly.EndsWith(".dll", StringComparison.Ordinal));
        check.Require(isAssembly && (Assembly is null || Kind == PackageWords.Plugin), "$.assembly", "The assembly is the file name of a plugin's main .dll, and only a plugin has one.");
        check.Require(Scripts is null || Kind != PackageWords.Plugin, "$.scripts", "A compiled plugin has no scripts.");
        check.Require((Scripts?.Count ?? 1) is > 0 and <= MostScripts, "$.scripts", $"A package has 1 to {MostScripts} scripts.");
        check.Each(Scripts, "$.scripts", (script, path) => script.Validate(check, path, Kind));
        Unique(check, script => script.File.ToUpperInvariant(), "file");
        Unique(check, script => $"{KindOf(script)} {script.Name ?? script.File}", "name");
    }

    private void Unique(DocumentCheck check, Func<PackageScript, string> key, string what)
    {
        PackageScript[] scripts = [.. (Scripts ?? []).Where(script => script?.File is not null)];
        check.Require(scripts.Select(key).Distinct(StringComparer.Ordinal).Count() == scripts.Length, "$.scripts", $"Two scripts have one {what}.");
    }
}

/// <summary>A script in a package.</summary>
public sealed record PackageScript
{
    /// <summary>The .csx file, in the packed folder.</summary>
    public required string File { get; init; }

    /// <summary><c>layout</c>, <c>adapter</c> or <c>batch</c>; not needed where the package is of that kind.</summary>
    public string? Kind { get; init; }

    /// <summary>The name by which it is used; packing fills it in: what a layout calls itself, or the file's name.</summary>
    public string? Name { get; init; }

    internal void Validate(DocumentCheck check, string path, string kind)
    {
        check.Require(PackagePath.Fault(File) is null && File.EndsWith(".csx", StringComparison.Ordinal), path + ".file", "The file is the path of a .csx file in the package.");
        check.Require(Kind is null ? kind != PackageWords.Scripts : PackageWords.IsKindOfScript(Kind) && (kind == PackageWords.Scripts || kind == Kind), path + ".kind",
            "A script is a layout, an adapter or a batch, and of the package's kind unless that is \"scripts\".");
        check.Require(Name is null || PackageWords.IsName(Name), path + ".name", "A name is kebab-case: a-z, 0-9, and hyphens between them.");
    }
}
