using System.Reflection;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.Json.Schema;
using System.Xml.Linq;

namespace Imbrex.Engine.Documents;

/// <summary>JSON Schemas of the documents, made from their types and from the comments in the source.</summary>
public static class DocumentSchema
{
    private static readonly Dictionary<string, (Type Type, string Name)> Documents = new(StringComparer.Ordinal)
    {
        ["kit"] = (typeof(KitDocument), KitDocument.SchemaName),
        ["plan"] = (typeof(PlanDocument), PlanDocument.SchemaName),
        ["mosaic"] = (typeof(MosaicDocument), MosaicDocument.SchemaName),
        ["package"] = (typeof(PackageDocument), PackageDocument.SchemaName),
        ["feed"] = (typeof(FeedDocument), FeedDocument.SchemaName),
    };

    /// <summary>The kinds of document that have a schema.</summary>
    public static IReadOnlyList<string> Kinds { get; } = [.. Documents.Keys];

    /// <summary>The schema of a kind, as text with a final line feed.</summary>
    /// <param name="kind">One of <see cref="Kinds"/>.</param>
    public static string Of(string kind)
    {
        (Type type, string name) = Documents[kind];
        Dictionary<string, string> comments = Comments();
        var options = new JsonSchemaExporterOptions
        {
            TreatNullObliviousAsNonNullable = true,
            TransformSchemaNode = (context, node) => Transform(context, node, comments),
        };
        var schema = (JsonObject)JsonDocuments.Options.GetJsonSchemaAsNode(type, options);
        schema.Insert(0, "$schema", "https://json-schema.org/draft/2020-12/schema");
        schema.Insert(1, "$id", name);
        return schema.ToJsonString(JsonDocuments.Options) + "\n";
    }

    private static JsonNode Transform(JsonSchemaExporterContext context, JsonNode node, Dictionary<string, string> comments)
    {
        Type type = context.TypeInfo.Type;
        // Our own converters hide from the exporter what they read.
        if (type == typeof(double))
            node = new JsonObject { ["type"] = "number" };
        else if (type == typeof(double?))
            node = new JsonObject { ["type"] = new JsonArray("number", "null") };
        else if (type == typeof(MountDepthPart))
            node = Depth();
        if (node is not JsonObject schema)
            return node;
        if (schema["properties"] is JsonObject properties)
        {
            schema["additionalProperties"] = false;
            if (type.GetField(nameof(PlanDocument.SchemaName))?.GetValue(null) is string name)
                properties["schema"] = new JsonObject { ["const"] = name };
        }
        string? key = context.PropertyInfo?.AttributeProvider is PropertyInfo property
            ? $"P:{property.DeclaringType!.FullName}.{property.Name}"
            : context.Path.IsEmpty ? $"T:{type.FullName}" : null;
        if (key is not null && comments.TryGetValue(key, out string? comment))
            schema.Insert(0, "description", comment);
        return schema;
    }

    private static JsonObject Depth() => new()
    {
        ["type"] = new JsonArray("number", "array", "null"),
        ["items"] = new JsonObject { ["type"] = "number" },
        ["minItems"] = 2,
        ["maxItems"] = 2,
    };

    // The compiler writes the documentation comments beside the assembly.
    private static Dictionary<string, string> Comments()
    {
        string file = Path.ChangeExtension(typeof(DocumentSchema).Assembly.Location, ".xml");
        if (!File.Exists(file))
            return [];
        return XDocument.Load(file).Descendants("member")
            .Where(member => member.Element("summary") is not null)
            .ToDictionary(member => member.Attribute("name")!.Value, member => Text(member.Element("summary")!), StringComparer.Ordinal);
    }

    // A reference in a comment is read as the member's name in the file.
    private static string Text(XElement summary)
    {
        IEnumerable<string> words = summary.Nodes().Select(node => node switch
        {
            XElement { IsEmpty: true } reference => JsonNamingPolicy.CamelCase.ConvertName(reference.Attribute("cref")?.Value.Split('.')[^1] ?? ""),
            XElement element => element.Value,
            _ => node.ToString(),
        });
        return string.Join(' ', string.Concat(words).Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries));
    }
}
