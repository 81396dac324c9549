using System.CommandLine;
using Imbrex.Cli.Trust;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>Installs a package.</summary>
internal sealed class PluginAddVerb() : Verb("add", "Installs a package: a file, or one from a feed (a folder or a web space)",
    "imbrex plugin add brick-bonds.1.0.0.nupkg", "imbrex plugin add brick-bonds --feed https://example.org/layouts", "imbrex plugin add brick-bonds@1.0.0 --feed feed")
{
    private readonly Argument<string> _package = new("PACKAGE") { Description = "A .nupkg file or its address; a folder with one package in it; or, with --feed, NAME or NAME@VERSION" };
    private readonly Option<string?> _feed = new("--feed") { HelpName = "FOLDER|URL", Description = "Take the package from this feed" };
    private readonly Option<bool> _trust = new("--trust") { Description = "Say yes to a package that runs with your own rights; remembered for its name and key" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        command.Add(_package);
        command.Add(_feed);
        command.Add(_trust);
    }

    protected override async Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        (Package package, string source, bool isFeed) = await FindAsync(given.GetRequiredValue(_package), given.GetValue(_feed), cancellation);
        Installed installed = Installer(context, source, given.GetValue(_trust)).Add(package, source, isFeed, cancellation);
        context.Terminal.Say(Words(installed));
        foreach (PackageScript script in installed.Package.Scripts ?? [])
            context.Terminal.Say($"  {script.Kind,-8} {script.Name}");
        return new() { Data = new { Outcome = Word(installed.Outcome), Package = PackageFacts.Of(package, source, "installed") } };
    }

    /// <summary>What installs packages, with the question for this terminal.</summary>
    public static PackageInstaller Installer(CommandContext context, string source, bool trust) =>
        new(context.Packages, context.Trust, package => context.Question.Ask(TrustMatters.Of(package, source, context.Trust), trust));

    /// <summary>What came of it, for people.</summary>
    public static string Words(Installed installed) => installed.Outcome switch
    {
        InstallOutcome.Added => $"{installed.Package.Name} {installed.Package.Version} is installed.",
        InstallOutcome.Updated => $"{installed.Package.Name} {installed.Before!.Version} is now {installed.Package.Version}.",
        InstallOutcome.Repaired => $"{installed.Package.Name} {installed.Package.Version} was damaged and is whole again.",
        _ => $"{installed.Package.Name} {installed.Package.Version} is installed already.",
    };

    /// <summary>What came of it, for machines.</summary>
    public static string Word(InstallOutcome outcome) => outcome.ToString().ToLowerInvariant();

    private static async Task<(Package Package, string Source, bool IsFeed)> FindAsync(string wish, string? from, CancellationToken cancellation)
    {
        if (from is not null)
        {
            string[] words = wish.Split('@');
            if (words.Length > 2 || !PackageWords.IsName(words[0]))
                throw new InputException($"'{wish}' is no name of a package.", "PACKAGE", "With --feed, give NAME or NAME@VERSION.");
            return await FromAsync(Feed.Open(from), words[0], words.ElementAtOrDefault(1), cancellation);
        }
        if (Feed.WebAddress(wish) is { } address)
        {
            return address.AbsolutePath.EndsWith(".nupkg", StringComparison.OrdinalIgnoreCase)
                ? (await Feed.GetAsync(address, cancellation), address.ToString(), false)
                : await OnlyOneAsync(Feed.Open(wish), wish, cancellation);
        }
        if (Directory.Exists(wish))
            return await OnlyOneAsync(Feed.Open(wish), wish, cancellation);
        if (!File.Exists(wish) && PackageWords.IsName(wish.Split('@')[0]))
            throw new InputException($"There is no file {wish}.", wish, $"For the package of that name, say where it is: imbrex plugin add {wish} --feed FOLDER-or-URL");
        return (Package.Read(wish), Path.GetFullPath(wish), false);
    }

    private static async Task<(Package, string, bool)> OnlyOneAsync(Feed feed, string place, CancellationToken cancellation)
    {
        string[] names = [.. (await feed.ListAsync(cancellation)).Select(package => package.Name).Distinct()];
        return names.Length switch
        {
            1 => await FromAsync(feed, names[0], null, cancellation),
            0 => throw new InputException($"There is no package in {place}.", place, "Name a .nupkg file, or a feed that has some."),
            _ => throw new InputException($"There are several packages in {place}.", place, $"Choose: imbrex plugin add NAME --feed {place}, where NAME is {string.Join(", ", names.Take(20))}."),
        };
    }

    private static async Task<(Package, string, bool)> FromAsync(Feed feed, string name, string? version, CancellationToken cancellation) =>
        (await feed.FetchAsync(await feed.FindAsync(name, version, cancellation), cancellation), feed.Location, true);
}
