using System.CommandLine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;

namespace Imbrex.Cli.Commands;

/// <summary>Tells everything about one package.</summary>
internal sealed class PluginInfoVerb() : Verb("info", "Tells what a package is: manifest, files, signature and trust; installs nothing", "imbrex plugin info brick-bonds",
    "imbrex plugin info brick-bonds.1.0.0.nupkg")
{
    private readonly Argument<string> _package = new("NAME|FILE") { Description = "An installed package, or a .nupkg file" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command) => command.Add(_package);

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string wish = given.GetRequiredValue(_package);
        bool isFile = File.Exists(wish) || wish.EndsWith(".nupkg", StringComparison.OrdinalIgnoreCase);
        return Task.FromResult(isFile ? OfFile(wish, context) : OfInstalled(wish, context));
    }

    private static VerbResult OfFile(string path, CommandContext context)
    {
        var package = Package.Read(path);
        string trust = PackageInfo.Trust(package.Manifest.Name, package.Key?.Fingerprint, package.NeedsTrust, context);
        var facts = PackageFacts.Of(package, path, trust);
        PackageInfo.Print(facts, trust, null, context);
        return new() { Data = facts };
    }

    private static VerbResult OfInstalled(string name, CommandContext context)
    {
        LockedPackage package = context.Packages.Find(name) ?? throw context.Packages.NotInstalled(name);
        string trust = PackageInfo.Trust(name, package.Key, package.NeedsTrust(), context);
        var facts = PackageFacts.Of(package, PackageInfo.Manifest(package, context), trust);
        PackageInfo.Print(facts, trust, context.Packages.FolderOf(name), context);
        string? damage = context.Packages.Damage(package);
        return new(damage is null ? ExitCodes.Done : ExitCodes.Incomplete) { Data = facts, Findings = damage is null ? [] : [PackageInfo.Damaged(package, damage, context)] };
    }
}
