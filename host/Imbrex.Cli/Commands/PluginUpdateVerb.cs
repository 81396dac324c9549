using System.CommandLine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Sdk;
using NuGet.Versioning;

namespace Imbrex.Cli.Commands;

/// <summary>Looks for newer versions where the installed packages came from.</summary>
internal sealed class PluginUpdateVerb() : Verb("update", "Installs newer versions from where the packages came from, and mends what is damaged, by the same rules", "imbrex plugin update",
    "imbrex plugin update brick-bonds")
{
    private readonly Argument<string?> _name = new("NAME") { Description = "The installed package; without it, all", Arity = ArgumentArity.ZeroOrOne };
    private readonly Option<bool> _trust = new("--trust") { Description = "Say yes to a package that now asks to run with your own rights" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        command.Add(_name);
        command.Add(_trust);
    }

    protected override async Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        if (given.GetValue(_name) is { } name)
        {
            PackageChange change = await UpdateAsync(context.Packages.Find(name) ?? throw context.Packages.NotInstalled(name), given.GetValue(_trust), context, cancellation);
            return new() { Data = new[] { change } };
        }
        var changes = new List<PackageChange>();
        var findings = new List<Finding>();
        foreach (LockedPackage package in context.Packages.Packages.ToArray())
        {
            try
            {
                changes.Add(await UpdateAsync(package, given.GetValue(_trust), context, cancellation));
            }
            catch (ImbrexException e)
            {
                findings.Add(new("not-updated", "warning", $"{package.Name} stays at {package.Version}. {e.Message}") { Where = e.Where, Remedy = e.Remedy });
            }
        }
        return new(findings.Count == 0 ? ExitCodes.Done : ExitCodes.Incomplete) { Data = changes, Findings = findings };
    }

    private static async Task<PackageChange> UpdateAsync(LockedPackage package, bool trust, CommandContext context, CancellationToken cancellation)
    {
        if (await WantedAsync(package, context.Packages.Damage(package) is not null, cancellation) is not { } wanted)
        {
            context.Terminal.Say($"{package.Name} {package.Version} is the newest in {package.Source}.");
            return PackageChange.Between(package, package);
        }
        Installed installed = PluginAddVerb.Installer(context, package.Source, trust).Add(wanted, package.Source, package.IsFeed, cancellation);
        var change = PackageChange.Between(package, installed.Package);
        context.Terminal.Say(PluginAddVerb.Words(installed));
        foreach (string line in change.InWords())
            context.Terminal.Say($"  {line}");
        return change;
    }

    // What takes the package's place: a newer version, or the same where it is damaged.
    private static async Task<Package?> WantedAsync(LockedPackage package, bool isDamaged, CancellationToken cancellation)
    {
        if (package.IsFeed)
        {
            var feed = Feed.Open(package.Source);
            FeedPackage found = await feed.FindAsync(package.Name, null, cancellation);
            return IsWanted(found.Version) ? await feed.FetchAsync(found, cancellation) : null;
        }
        Package there = Feed.WebAddress(package.Source) is { } address ? await Feed.GetAsync(address, cancellation) : Package.Read(package.Source);
        if (there.Manifest.Name != package.Name)
            throw new RefusalException($"{package.Source} is now the package {there.Title}.", package.Name, "Add the newer version from where it is.");
        return IsWanted(there.Manifest.Version) ? there : null;

        bool IsWanted(string version)
        {
            int order = SemanticVersion.Parse(version).CompareTo(SemanticVersion.Parse(package.Version));
            return order > 0 || (order == 0 && isDamaged);
        }
    }
}

/// <summary>What an update changed.</summary>
internal sealed record PackageChange(string Name, string From, string To, IReadOnlyList<string> Added, IReadOnlyList<string> Changed, IReadOnlyList<string> Removed)
{
    public static PackageChange Between(LockedPackage before, LockedPackage now)
    {
        var old = before.Files.ToDictionary(file => file.Path, file => file.Sha256, StringComparer.Ordinal);
        var young = now.Files.ToDictionary(file => file.Path, file => file.Sha256, StringComparer.Ordinal);
        return new(now.Name, before.Version, now.Version, [.. young.Keys.Where(path => !old.ContainsKey(path))],
            [.. young.Keys.Where(path => old.TryGetValue(path, out string? hash) && hash != young[path])], [.. old.Keys.Where(path => !young.ContainsKey(path))]);
    }

    public IEnumerable<string> InWords() =>
        Added.Select(path => $"added    {path}").Concat(Changed.Select(path => $"changed  {path}")).Concat(Removed.Select(path => $"removed  {path}"));
}
