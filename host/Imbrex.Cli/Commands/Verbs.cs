namespace Imbrex.Cli.Commands;

/// <summary>The verbs, in the order of the help. Each is made only when it is wanted: all their options together take longer than a short verb.</summary>
internal static class Verbs
{
    private static readonly Maker[] Known =
    [
        new("demo", () => new DemoVerb()),
        new("check", () => new CheckVerb()),
        new("plan", () => new PlanVerb()),
        new("bench", () => new BenchVerb()),
        new("simulate", () => new SimulateVerb()),
        new("merge", () => new MergeVerb()),
        new("export", () => new ExportVerb()),
        new("catalog", () => new CatalogVerb()),
        new("run", () => new RunVerb()),
        new("new", () => new NewVerb()),
        new("plugin", () => new PluginVerbs()),
        new("schema", () => new SchemaVerb()),
        new("doctor", () => new DoctorVerb()),
    ];

    /// <summary>The verb that a command line begins with; all of them where it begins with anything else, to help or to suggest.</summary>
    public static IEnumerable<IVerb> For(string[] args)
    {
        Maker[] wanted = Array.FindAll(Known, verb => args is [string first, ..] && first == verb.Name);
        return (wanted.Length > 0 ? wanted : Known).Select(verb => verb.Make());
    }

    private sealed record Maker(string Name, Func<IVerb> Make);
}
