using System.CommandLine;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;
using Spectre.Console;

namespace Imbrex.Cli.Commands;

/// <summary>Says beforehand what may run with the user's own rights.</summary>
internal sealed class PluginTrustVerb() : Verb("trust", "Trusts an author's key, or a compiled plugin's folder, to run with your own rights; lists and forgets what is trusted",
    "imbrex plugin trust 2k7fq-9mxw1-0a3bc-8dz4e-5hjy6 --as \"Jane Maker\"", "imbrex plugin trust my-plugins/MyPlugin", "imbrex plugin trust --list",
    "imbrex plugin trust --forget \"Jane Maker\"")
{
    private readonly Argument<string?> _what = new("WHAT")
    {
        Description = "A key's fingerprint, a public key (PEM), a .nupkg file whose key is meant, or a plugin's folder",
        Arity = ArgumentArity.ZeroOrOne,
    };
    private readonly Option<string?> _as = new("--as") { HelpName = "NAME", Description = "What you call the author" };
    private readonly Option<bool> _list = new("--list") { Description = "List what is trusted" };
    private readonly Option<string?> _forget = new("--forget")
    {
        HelpName = "WHAT",
        Description = "Forget an author with the author's packages, or a package, file or folder, by name, fingerprint or SHA-256",
    };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        command.Add(_what);
        command.Add(_as);
        command.Add(_list);
        command.Add(_forget);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string? what = given.GetValue(_what), forget = given.GetValue(_forget);
        bool list = given.GetValue(_list);
        if ((what is null ? 0 : 1) + (forget is null ? 0 : 1) + (list ? 1 : 0) != 1)
            throw new InputException("Give one of WHAT, --list and --forget.", "imbrex plugin trust", "Run imbrex plugin trust --help for what it takes.");
        if (list)
            List(context);
        else if (forget is not null)
            Forget(forget, context);
        else if (Directory.Exists(what))
            TrustFolder(what!, context);
        else
            TrustAuthor(Author(what!, given.GetValue(_as)), context);
        return Task.FromResult(new VerbResult { Data = new { context.Trust.Files, context.Trust.Authors, context.Trust.Packages } });
    }

    private static void TrustFolder(string folder, CommandContext context)
    {
        string full = Path.TrimEndingDirectorySeparator(Path.GetFullPath(folder)), name = Path.GetFileName(full);
        var plugin = new PluginFile(name, Path.Combine(full, name + ".dll"), IsBuiltIn: false);
        if (!File.Exists(plugin.Path))
            throw new InputException($"There is no plugin in {folder}.", plugin.Path, "Name a folder that holds an assembly of its own name: NAME/NAME.dll.");
        var loose = LoosePlugin.Of(plugin, context.Trust);
        context.Trust.Trust(new TrustedFile(loose.Name, loose.Sha256));
        context.Terminal.Say($"{loose.Name} in {loose.Folder} may run with your own rights until its files change. SHA-256 {loose.Sha256}");
    }

    private static void TrustAuthor(TrustedAuthor author, CommandContext context)
    {
        context.Trust.Trust(author);
        context.Terminal.Say($"Whatever {author.Key}{(author.Name == author.Key ? "" : $" ({author.Name})")} signs may run with your own rights.");
    }

    private static TrustedAuthor Author(string what, string? name)
    {
        if (!File.Exists(what))
        {
            return KeyFingerprint.Parse(what) is { } typed
                ? new(name ?? typed, typed)
                : throw new InputException($"'{what}' is neither a key's fingerprint nor a file nor a folder.", "WHAT",
                    "A fingerprint is five groups of five letters and digits; imbrex plugin info FILE.nupkg tells it.");
        }
        if (what.EndsWith(".nupkg", StringComparison.OrdinalIgnoreCase))
        {
            var package = Package.Read(what);
            return package.Key is { } signed
                ? new(name ?? package.Manifest.Author, signed.Fingerprint)
                : throw new InputException($"{package.Title} is not signed.", what, "It needs no trust: its scripts run isolated.");
        }
        PublicKey key = ReadKey(what) ?? throw new InputException("The file is no public key on the curve P-256 in PEM.", what,
            "Name the file that its author gave you, or a package that is signed with it.");
        return new(name ?? Path.GetFileNameWithoutExtension(what), key.Fingerprint);
    }

    private static PublicKey? ReadKey(string path) => new FileInfo(path).Length < 16 * 1024 ? PublicKey.Parse(File.ReadAllText(path)) : null;

    private static void Forget(string what, CommandContext context)
    {
        // A wrong name must not pass for trust taken back.
        if (context.Trust.Forget(KeyFingerprint.Parse(what) ?? what) == 0)
            throw new InputException($"Nothing is trusted under '{what}'.", "--forget", "imbrex plugin trust --list shows what is.");
        context.Terminal.Say($"Forgotten: {what}.");
    }

    private static void List(CommandContext context)
    {
        TrustStore trust = context.Trust;
        if (trust.Files.Count + trust.Authors.Count + trust.Packages.Count == 0)
            context.Terminal.Say("Nothing is trusted.");
        else if (!context.Terminal.Json)
            context.Terminal.Tables.Write(Table(trust));
    }

    private static Table Table(TrustStore trust)
    {
        Table table = new Table().Border(TableBorder.Simple).AddColumns("What", "Name", "Key or SHA-256");
        foreach (TrustedAuthor author in trust.Authors)
            table.AddRow(new Text("author"), new Text(author.Name), new Text(author.Key));
        foreach (PinnedPackage package in trust.Packages)
            table.AddRow(new Text("package"), new Text(package.Name), new Text(package.Key));
        foreach (TrustedFile file in trust.Files)
            table.AddRow(new Text("file or folder"), new Text(file.Name), new Text(file.Sha256));
        return table;
    }
}
