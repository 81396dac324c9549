using System.CommandLine;
using Imbrex.Cli.Batch;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;

namespace Imbrex.Cli.Commands;

/// <summary>Writes a deliverable from a merged picture.</summary>
internal sealed class ExportVerb() : Verb("export", "Writes a deliverable from a merged picture, verified by SHA-256",
    "imbrex export merged/mosaic.json --to jpeg-access --out access --set long-side=4000",
    "imbrex export merged/mosaic.json --to tiff-master --out archive --set compression=deflate")
{
    private readonly Argument<string> _mosaic = new("MOSAIC") { Description = "The merge's mosaic.json" };
    private readonly Option<string> _target = new("--to") { HelpName = "NAME", Description = "Export target; imbrex catalog lists them", Required = true };
    private readonly Option<string> _out = CommonOptions.Out("FOLDER", "Folder for the deliverable");
    private readonly Option<IReadOnlyDictionary<string, string>> _set = CommonOptions.Set();
    private readonly Option<string?> _name = new("--name") { HelpName = "NAME", Description = "Name of the files; without it, the merge's folder gives it" };
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override void Define(Command command)
    {
        _out.Required = true;
        command.Add(_mosaic);
        command.Add(_target);
        command.Add(_out);
        command.Add(_set);
        command.Add(_name);
        command.Add(_force);
    }

    protected override async Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string folder = given.GetRequiredValue(_out);
        string? name = given.GetValue(_name);
        if (name is not null && (name.Length == 0 || name.IndexOfAny(Path.GetInvalidFileNameChars()) >= 0 || name is "." or ".."))
            throw new InputException($"--name is '{name}', which cannot be part of a file name.", "--name", "Use letters, digits, spaces, hyphens or underscores.");
        ExportReceipt receipt = await new MosaicExporter(context).ExportAsync(given.GetRequiredValue(_mosaic), given.GetRequiredValue(_target), folder, name,
            given.GetRequiredValue(_set), given.GetValue(_force), context.Terminal.Progress, cancellation);
        foreach (ExportedFile file in receipt.Files)
            context.Terminal.Say(FormattableString.Invariant($"{Path.Combine(folder, file.Path)}: {file.Bytes} bytes, SHA-256 {file.Sha256}"));
        return new() { Files = [.. receipt.Files.Select(file => Path.Combine(folder, file.Path))], Data = receipt };
    }
}
