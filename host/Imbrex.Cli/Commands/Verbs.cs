namespace Imbrex.Cli.Commands;

/// <summary>The verbs, in the order of the help.</summary>
internal static class Verbs
{
    public static IEnumerable<Verb> All() =>
    [
        new DemoVerb(),
        new CheckVerb(),
        new PlanVerb(),
        new BenchVerb(),
        new SimulateVerb(),
        new MergeVerb(),
        new ExportVerb(),
        new CatalogVerb(),
        new RunVerb(),
        new SchemaVerb(),
        new DoctorVerb(),
    ];
}
