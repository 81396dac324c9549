using System.CommandLine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>Makes a feed of a folder of packages.</summary>
internal sealed class PluginIndexVerb() : Verb("index", $"Writes the index of a folder of packages ({FeedDocument.FileName}), which makes a feed of it wherever it is put on the web", "imbrex plugin index feed")
{
    private readonly Argument<string> _folder = new("FOLDER") { Description = "Holds the packages" };

    protected override bool ReadsPictures => false;

    /// <summary>Reads all packages of a folder and writes their index.</summary>
    public static (string File, FeedIndex Index) Write(string folder, CancellationToken cancellation)
    {
        var index = FeedIndex.Of(folder, cancellation);
        string file = Path.Combine(folder, FeedDocument.FileName);
        OutputFile.Write(file, JsonDocuments.ToBytes(index.Index));
        return (file, index);
    }

    protected override void Define(Command command) => command.Add(_folder);

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string folder = given.GetRequiredValue(_folder);
        if (!Directory.Exists(folder))
            throw new InputException($"There is no folder {folder}.", folder, "Name a folder of packages.");
        (string file, FeedIndex index) = Write(folder, cancellation);
        context.Terminal.Say($"{file}: {(index.Index.Packages.Count == 1 ? "1 package" : $"{index.Index.Packages.Count} packages")}");
        return Task.FromResult(new VerbResult(index.LeftOut.Count == 0 ? ExitCodes.Done : ExitCodes.Incomplete)
        {
            Files = [file],
            Findings = [.. index.LeftOut.Select(left => new Finding("left-out", "warning", $"{left.File} is left out. {left.Reason}") { Where = Path.Combine(folder, left.File) })],
            Data = index.Index,
        });
    }
}
