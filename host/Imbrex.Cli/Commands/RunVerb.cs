using System.CommandLine;
using Imbrex.Cli.Arguments;
using Imbrex.Cli.Batch;
using Imbrex.Cli.Trust;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Batch;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Cli.Commands;

/// <summary>Runs a batch script.</summary>
internal sealed class RunVerb() : Verb("run", "Runs a batch script (.csx) with your own rights: the first time, and whenever it has changed, you are asked",
    "imbrex run scripts/batch/export-takes.csx --in takes --out delivered target=jpeg-access")
{
    private readonly Argument<string> _script = new("SCRIPT") { Description = "The batch script, or the name of one in an installed package" };
    private readonly Argument<string[]> _arguments = new("name=value") { Description = "Arguments for the script", Arity = ArgumentArity.ZeroOrMore };
    private readonly Option<string> _in = new("--in") { HelpName = "FOLDER", Description = "Folder that the script works on", DefaultValueFactory = _ => "." };
    private readonly Option<string?> _out = new("--out") { HelpName = "FOLDER", Description = "Folder for what it makes", Required = true };
    private readonly Option<bool> _trust = new("--trust") { Description = "Say yes to running this very file with your own rights; remembered until it changes" };
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override void Define(Command command)
    {
        command.Add(_script);
        command.Add(_arguments);
        command.Add(_in);
        command.Add(_out);
        command.Add(_trust);
        command.Add(_force);
    }

    protected override async Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        IReadOnlyDictionary<string, string> arguments = NameValueText.Parse(given.GetValue(_arguments) ?? [], "name=value");
        string input = given.GetRequiredValue(_in);
        if (!Directory.Exists(input))
            throw new InputException($"There is no folder {input}.", "--in", "Name the folder that the script is to work on.");
        ScriptSource script = Trusted(given.GetRequiredValue(_script), given.GetValue(_trust), context);
        string output = given.GetRequiredValue(_out)!;
        OutputFile.MakeFolder(output);
        BatchSteps steps = BatchWiring.Steps(context);
        var host = new BatchHost(steps, BatchLedger.Open(output), given.GetValue(_force), context.Terminal.Note, context.Terminal.Progress);
        var globals = new BatchScript(host, Path.GetFullPath(input), Path.GetFullPath(output), arguments, cancellation);
        return new(await new BatchRunner(context.Scripts.Compiler).RunAsync(script, globals));
    }

    // A script of a package was trusted with the package's key when it was installed.
    private static ScriptSource Trusted(string nameOrPath, bool given, CommandContext context)
    {
        TrustStore store = context.Trust;
        if (!LayoutScripts.IsScript(nameOrPath) && context.Packages.Scripts(PackageWords.Batch).FirstOrDefault(script => script.Name == nameOrPath) is { } installed)
        {
            return installed.Package.Key is { } key && store.IsTrusted(installed.Package.Name, key)
                ? installed.Read()
                : throw new RefusalException($"The key of the package {installed.Package.Name} is no longer trusted.", nameOrPath, PackageIntegrity.Remedy(installed.Package));
        }
        if (!LayoutScripts.IsScript(nameOrPath))
        {
            string[] known = [.. context.Packages.Scripts(PackageWords.Batch).Select(script => script.Name)];
            throw new InputException($"There is neither a file '{nameOrPath}' nor an installed batch script of that name.", nameOrPath,
                NearestWord.Suggest(nameOrPath, known) ?? (known.Length == 0 ? "Name a .csx file." : $"Installed are: {string.Join(", ", known)}."));
        }
        var script = ScriptSource.Read(nameOrPath);
        if (!store.IsTrusted(script.Sha256))
        {
            context.Question.Ask(TrustMatters.Of(script, store), given);
            store.Trust(new TrustedFile(Path.GetFileName(script.Path), script.Sha256));
        }
        return script;
    }
}
