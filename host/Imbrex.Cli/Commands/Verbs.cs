namespace Imbrex.Cli.Commands;

/// <summary>The verbs, in the order of the help.</summary>
internal static class Verbs
{
    public static IEnumerable<Verb> All() =>
    [
        new MergeVerb(),
        new CatalogVerb(),
        new RunVerb(),
        new SchemaVerb(),
        new DoctorVerb(),
    ];
}
