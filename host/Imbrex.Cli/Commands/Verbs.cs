namespace Imbrex.Cli.Commands;

/// <summary>The verbs, in the order of the help. Each is made only when it is wanted: all their options together take longer than a short verb.</summary>
internal static class Verbs
{
    private static readonly (string Name, Func<IVerb> Make)[] Known =
    [
        ("demo", () => new DemoVerb()),
        ("check", () => new CheckVerb()),
        ("plan", () => new PlanVerb()),
        ("bench", () => new BenchVerb()),
        ("simulate", () => new SimulateVerb()),
        ("merge", () => new MergeVerb()),
        ("export", () => new ExportVerb()),
        ("catalog", () => new CatalogVerb()),
        ("run", () => new RunVerb()),
        ("plugin", () => new PluginVerbs()),
        ("schema", () => new SchemaVerb()),
        ("doctor", () => new DoctorVerb()),
    ];

    /// <summary>The verb that a command line begins with; all of them where it begins with anything else, to help or to suggest.</summary>
    public static IEnumerable<IVerb> For(string[] args)
    {
        (string Name, Func<IVerb> Make)[] wanted = Array.FindAll(Known, verb => args is [string first, ..] && first == verb.Name);
        return (wanted.Length > 0 ? wanted : Known).Select(verb => verb.Make());
    }
}
