using System.CommandLine;
using Imbrex.Engine.Documents;

namespace Imbrex.Cli.Commands;

/// <summary>Removes a package.</summary>
internal sealed class PluginRemoveVerb() : Verb("remove", "Removes an installed package; what you trust stays trusted", "imbrex plugin remove brick-bonds")
{
    private readonly Argument<string> _name = new("NAME") { Description = "The installed package" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command) => command.Add(_name);

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        LockedPackage package = context.Packages.Remove(given.GetRequiredValue(_name));
        context.Terminal.Say($"{package.Name} {package.Version} is removed.");
        return Task.FromResult(new VerbResult { Data = new { package.Name, package.Version } });
    }
}
