using System.CommandLine;
using System.Text;
using Imbrex.Cli.Templates;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Cli.Commands;

/// <summary>Begins a layout, an adapter, an export target or a batch script.</summary>
internal sealed class NewVerb() : Verb("new", "Writes a layout, adapter, export target or batch script to begin with, and says how to go on",
    "imbrex new layout two-rows", "imbrex new batch deliver-all --out studio/deliver-all", "imbrex new export small-view", "imbrex new layout two-rows --compiled")
{
    private readonly Argument<string> _kind = new("KIND") { Description = "What to begin: " + string.Join(", ", NewPart.Kinds) };
    private readonly Argument<string> _name = new("NAME") { Description = "Its name: lower-case letters, digits and single hyphens" };
    private readonly Option<string?> _out = new("--out") { HelpName = "FOLDER", Description = "Folder to write into; NAME unless given. It must not hold anything yet" };
    private readonly Option<bool> _compiled = new("--compiled") { Description = "A class library with a test project instead of a script: for layouts and adapters. Export targets are always compiled" };
    private readonly Option<string> _author = new("--author") { HelpName = "NAME", Description = "Whom the package is to name as its author", DefaultValueFactory = _ => "Anonymous" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        command.Add(_kind);
        command.Add(_name);
        command.Add(_out);
        command.Add(_compiled);
        command.Add(_author);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string name = Checked(given.GetRequiredValue(_name));
        string folder = given.GetValue(_out) ?? name;
        if (!PackageWords.IsLine(given.GetRequiredValue(_author), PackageDocument.LongestAuthor))
            throw new InputException("The author's name is no line of visible characters.", "--author", $"Give 1 to {PackageDocument.LongestAuthor} of them.");
        NewPart part = NewPart.Of(given.GetRequiredValue(_kind), name, given.GetValue(_compiled));
        if (File.Exists(folder) || (Directory.Exists(folder) && Directory.EnumerateFileSystemEntries(folder).Any()))
            throw new InputException($"{folder} is there already.", "--out", "Choose another name, or another folder with --out: nothing is ever replaced.");
        var files = new SortedDictionary<string, byte[]>(StringComparer.Ordinal) { [part.ManifestPath] = JsonDocuments.ToBytes(Manifest(part, given.GetRequiredValue(_author))) };
        foreach ((string path, string text) in part.Files())
            files.Add(path, Encoding.UTF8.GetBytes(text));
        foreach ((string path, byte[] content) in files)
        {
            string file = Path.Combine(folder, path);
            OutputFile.MakeFolder(Path.GetDirectoryName(Path.GetFullPath(file))!);
            OutputFile.Write(file, content);
        }
        string[] next = [.. part.Next(folder)];
        Say(context, folder, files.Keys, next);
        return Task.FromResult(new VerbResult { Files = [.. files.Keys.Select(path => Path.Combine(folder, path))], Data = new { next } });
    }

    private static string Checked(string name)
    {
        if (PackageWords.IsName(name))
            return name;
        if (KebabCase.IsValid(name))
            throw new InputException($"'{name}' is the name of a device on Windows, where no file can be called so.", "NAME", "Choose another name.");
        string kebab = string.Join('-', name.ToLowerInvariant().Split([' ', '_', '.', '-'], StringSplitOptions.RemoveEmptyEntries));
        throw new InputException($"'{name}' is not a name.", "NAME", KebabCase.IsValid(kebab) ? $"Write it as '{kebab}'." : "Use lower-case letters, digits and single hyphens, a letter first, at most 40 characters.");
    }

    // Packing fills in the rest.
    private static PackageDocument Manifest(NewPart part, string author) => new()
    {
        Schema = PackageDocument.SchemaName,
        Name = part.Name,
        Version = "1.0.0",
        Kind = part.PackageKind,
        Author = author,
        Licence = "MIT",
        Summary = part.Summary,
    };

    private static void Say(CommandContext context, string folder, IEnumerable<string> files, string[] next)
    {
        context.Terminal.Say($"Written into {folder}:");
        foreach (string file in files)
            context.Terminal.Say($"  {file}");
        context.Terminal.Say("Next:");
        foreach (string line in next)
            context.Terminal.Say($"  {line}");
    }
}
