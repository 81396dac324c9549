using System.CommandLine;
using System.Text.Json.Nodes;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Cli.Commands;

/// <summary>Prints the JSON Schema of a kind of file.</summary>
internal sealed class SchemaVerb() : Verb("schema", "Prints the JSON Schema of a kind of file, or lists the kinds",
    "imbrex schema", "imbrex schema plan > plan.schema.json")
{
    private readonly Argument<string?> _kind = new("KIND")
    {
        Description = "Kind of file: " + string.Join(", ", DocumentSchema.Kinds),
        Arity = ArgumentArity.ZeroOrOne,
    };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command) => command.Add(_kind);

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation) =>
        Task.FromResult(given.GetValue(_kind) is { } kind ? Print(kind, context) : List(context));

    private static VerbResult Print(string kind, CommandContext context)
    {
        if (!DocumentSchema.Kinds.Contains(kind))
        {
            string known = $"Known are: {string.Join(", ", DocumentSchema.Kinds)}.";
            throw new InputException($"There is no kind of file '{kind}'.", "KIND", NearestWord.Suggest(kind, DocumentSchema.Kinds) ?? known);
        }
        string schema = DocumentSchema.Of(kind);
        context.Terminal.Say(schema.TrimEnd('\n'));
        return new() { Data = JsonNode.Parse(schema) };
    }

    private static VerbResult List(CommandContext context)
    {
        foreach (string kind in DocumentSchema.Kinds)
            context.Terminal.Say(kind);
        return new() { Data = DocumentSchema.Kinds };
    }
}
