using System.CommandLine;

namespace Imbrex.Cli.Commands;

/// <summary>The verbs about packages and trust, below one word.</summary>
internal sealed class PluginVerbs : IVerb
{
    public const string Name = "plugin";

    public Command Build(CommandContext context)
    {
        var group = new VerbCommand(Name, "Makes, installs and lists packages of scripts and plugins, and says whom to trust",
            ["imbrex plugin pack my-layouts", "imbrex plugin add my-layouts.1.0.0.nupkg", "imbrex plugin add my-layouts --feed https://example.org/layouts", "imbrex plugin list"]);
        Verb[] verbs =
        [
            new PluginPackVerb(), new PluginIndexVerb(), new PluginAddVerb(), new PluginListVerb(), new PluginInfoVerb(), new PluginTrustVerb(), new PluginRemoveVerb(), new PluginUpdateVerb(),
        ];
        foreach (Verb verb in verbs)
            group.Add(verb.Build(context));
        return group;
    }
}
