using System.CommandLine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>Makes a package.</summary>
internal sealed class PluginPackVerb() : Verb("pack", "Makes a signed package (.nupkg) of a folder with scripts, or of a compiled plugin's output folder",
    "imbrex plugin pack my-layouts", "imbrex plugin pack my-plugin/bin/Release/net10.0 --out feed --force")
{
    private readonly Argument<string> _folder = new("FOLDER") { Description = $"Holds {PackageDocument.FileName} and what is to be packed" };
    private readonly Option<string?> _out = new("--out") { HelpName = "FILE|FOLDER", Description = "The package to write, or a folder for it; without it, NAME.VERSION.nupkg here" };
    private readonly Option<string?> _feed = new("--feed") { HelpName = "FOLDER", Description = $"Put it into this feed, and renew the feed's {FeedDocument.FileName}" };
    private readonly Option<string?> _key = new("--key") { HelpName = "FILE", Description = "Sign with this private key (PEM) instead of your own" };
    private readonly Option<bool> _unsigned = new("--unsigned") { Description = "Sign with no key; only for layouts and adapters" };
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        command.Add(_folder);
        command.Add(_out);
        command.Add(_feed);
        command.Add(_key);
        command.Add(_unsigned);
        command.Add(_force);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string? feed = given.GetValue(_feed);
        if (feed is not null && given.GetValue(_out) is not null)
            throw new InputException("Give --out or --feed, and not both.", "--feed", "A feed is a folder: --feed says where the package goes.");
        if (given.GetValue(_unsigned) && given.GetValue(_key) is not null)
            throw new InputException("Give --key or --unsigned, and not both.", "--unsigned", "Leave one of them out.");
        MadePackage made = new PackageMaker(new ScriptInspector(context.Scripts.Compiler, context.Layouts, context.Adapters)).Make(given.GetRequiredValue(_folder),
            given.GetValue(_unsigned) ? null : () => Key(given.GetValue(_key), context));
        cancellation.ThrowIfCancellationRequested();
        string file = Target(feed ?? given.GetValue(_out), feed is not null, made.Package);
        OutputFile.RefuseExisting(file, given.GetValue(_force));
        OutputFile.MakeFolder(Path.GetDirectoryName(Path.GetFullPath(file))!);
        OutputFile.Write(file, made.Bytes);
        string[] files = feed is null ? [file] : [file, PluginIndexVerb.Write(feed, cancellation).File];
        context.Terminal.Say($"{made.Package.Title}: {file}, {made.Bytes.Length} bytes, {made.Package.Files.Count} files");
        context.Terminal.Say($"  SHA-256  {made.Package.Sha256}");
        context.Terminal.Say($"  signed   {made.Package.Key?.Fingerprint ?? "by nobody"}");
        return Task.FromResult(new VerbResult { Files = files, Findings = [.. Findings(made)], Data = PackageFacts.Of(made.Package, file, "made") });
    }

    private static IEnumerable<Finding> Findings(MadePackage made)
    {
        if (made.LeftOut.Count > 0)
            yield return new("not-packed", "note", $"Left out, since a package of scripts holds {ContentRules.OfScripts} only: {string.Join(", ", made.LeftOut)}");
        foreach (string note in made.Notes)
            yield return new("package", "note", note);
    }

    private static AuthorKey Key(string? file, CommandContext context)
    {
        if (file is not null)
            return AuthorKey.Open(file);
        string folder = Folders.Keys ?? throw new InputException("There is no folder that belongs to you alone for your key.", "--key",
            "Name one with the environment variable IMBREX_KEYS.");
        AuthorKey key = AuthorKey.OpenOrMake(Path.Combine(folder, AuthorKey.FileName));
        if (key.IsNew)
            context.Terminal.Note($"Your key has been made: {key.Path}. Keep a copy in a safe place: whoever has it can publish in your name, and without it you cannot publish a new version.");
        return key;
    }

    private static string Target(string? wish, bool isFolder, Package package)
    {
        string name = $"{package.Manifest.Name}.{package.Manifest.Version}.nupkg";
        if (wish is null)
            return name;
        return isFolder || Directory.Exists(wish) || !wish.EndsWith(".nupkg", StringComparison.OrdinalIgnoreCase) ? Path.Combine(wish, name) : wish;
    }
}
