using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Engine.Documents;

/// <summary>A JSON file of ours: it names its schema, and knows its own rules beyond the types.</summary>
public abstract record JsonDocument
{
    [JsonPropertyName("$schema"), JsonPropertyOrder(-2)]
    public string? JsonSchema { get; init; }

    [JsonPropertyOrder(-1)]
    public required string Schema { get; init; }

    /// <summary>Checks what types cannot say.</summary>
    /// <param name="check">Collects the faults, each with its path.</param>
    internal abstract void Validate(DocumentCheck check);
}

/// <summary>Reads and writes our JSON files: strict in, tidy out.</summary>
public static class JsonDocuments
{
    /// <summary>Files longer than this are not ours.</summary>
    public const long MaximumBytes = 64L << 20;

    public static JsonSerializerOptions Options { get; } = new(JsonSerializerDefaults.General)
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        AllowDuplicateProperties = false,
        RespectNullableAnnotations = true,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        WriteIndented = true,
        NewLine = "\n",
        MaxDepth = 32,
        Converters = { new FiniteDoubleConverter() },
        TypeInfoResolver = new DefaultJsonTypeInfoResolver(),
    };

    /// <summary>Reads a document and checks it.</summary>
    /// <param name="path">The file.</param>
    /// <param name="schema">The schema that it must name, such as <c>imbrex/plan/1</c>.</param>
    /// <exception cref="InputException">Missing, not JSON, an unknown member, a value of the wrong kind, or a broken rule; with the place.</exception>
    public static T Read<T>(string path, string schema)
        where T : JsonDocument
    {
        byte[] bytes;
        try
        {
            if (new FileInfo(path) is { Exists: true, Length: > MaximumBytes })
                throw new InputException("The file is far too long for this kind of document.", path, "Check that it is the right file.");
            bytes = File.ReadAllBytes(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            string remedy = Directory.Exists(path) ? "This is a folder; name the file in it." : "Check the path and the rights to read it.";
            throw new InputException($"Cannot read {path}.", path, remedy, e);
        }
        return Parse<T>(bytes, schema, path);
    }

    /// <summary>Reads a document from memory; see <see cref="Read{T}"/>.</summary>
    public static T Parse<T>(ReadOnlySpan<byte> utf8, string schema, string source)
        where T : JsonDocument
    {
        ReadOnlySpan<byte> mark = [0xEF, 0xBB, 0xBF];
        if (utf8.StartsWith(mark))
            utf8 = utf8[mark.Length..];
        if (utf8.Trim(" \t\r\n"u8).IsEmpty)
            throw new InputException("The file is empty.", source, $"It should hold an object with \"schema\": \"{schema}\".");
        T? document;
        try
        {
            document = JsonSerializer.Deserialize<T>(utf8, Options);
        }
        catch (JsonException e)
        {
            // A file of another kind is full of members that are unknown here; its kind is what is wrong.
            if (NamedSchema(utf8) is { } named && named != schema)
                throw AnotherKind(named, schema, source);
            throw Translated<T>(e, source);
        }
        if (document is null)
            throw new InputException("The file holds only null.", source, $"It should hold an object with \"schema\": \"{schema}\".");
        if (document.Schema != schema)
            throw AnotherKind(document.Schema, schema, source);
        var check = new DocumentCheck(source);
        document.Validate(check);
        check.ThrowIfFaulty();
        return document;
    }

    /// <summary>The document as UTF-8 text with a final line feed.</summary>
    public static byte[] ToBytes<T>(T document)
        where T : JsonDocument => [.. JsonSerializer.SerializeToUtf8Bytes(document, Options), (byte)'\n'];

    private static string? NamedSchema(ReadOnlySpan<byte> utf8)
    {
        try
        {
            var reader = new Utf8JsonReader(utf8);
            var root = JsonElement.ParseValue(ref reader);
            return root.ValueKind == JsonValueKind.Object && root.TryGetProperty("schema", out JsonElement named) && named.ValueKind == JsonValueKind.String
                ? named.GetString()
                : null;
        }
        // A string that is no UTF-8 is an operation that cannot be done, not a fault of the JSON, to this reader.
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            return null;
        }
    }

    private static InputException AnotherKind(string found, string expected, string source) =>
        new($"The file says \"schema\": \"{found}\".", $"{source}, $.schema", $"Expected here is \"{expected}\".");

    private static InputException Translated<T>(JsonException e, string source)
    {
        string line = e.LineNumber is { } number ? string.Create(CultureInfo.InvariantCulture, $", line {number + 1}") : "";
        string path = string.IsNullOrEmpty(e.Path) ? "" : $", {e.Path}";
        string place = source + line + path;
        string what = e.InnerException is InputException inner ? inner.Message : WithoutTail(e.Message);
        if (UnknownMember(e) is not { } member)
            return new InputException(what, place, "Compare the file with its schema: imbrex schema.", e);
        string? near = NearestWord.Suggest(member, Options.GetTypeInfo(Holder(typeof(T), e.Path)).Properties.Select(property => property.Name));
        return new InputException($"Unknown member \"{member}\".", place, near ?? "Remove it or correct its name; names are exact.", e);
    }

    private static string? UnknownMember(JsonException e)
    {
        const string Mark = "The JSON property '";
        int start = e.Message.IndexOf(Mark, StringComparison.Ordinal);
        if (start < 0 || !e.Message.Contains("could not be mapped", StringComparison.Ordinal))
            return null;
        start += Mark.Length;
        return e.Message[start..e.Message.IndexOf('\'', start)];
    }

    // The serializer appends "Path: … | LineNumber: …" and names of CLR types, which mean nothing to a photographer.
    private static string WithoutTail(string message)
    {
        int tail = message.IndexOf(" Path: ", StringComparison.Ordinal);
        string text = tail < 0 ? message : message[..tail];
        if (text.StartsWith("The JSON value could not be converted to ", StringComparison.Ordinal))
            return "A value of the wrong kind stands here.";
        const string Missing = "was missing required properties including: ";
        int missing = text.IndexOf(Missing, StringComparison.Ordinal);
        return missing < 0 ? text : $"A required member is missing: {text[(missing + Missing.Length)..]}";
    }

    // The type of the object in which the last member of a path such as $.tiles[3].turn stands.
    private static Type Holder(Type type, string? path)
    {
        foreach (string step in (path ?? "").Split('.').Skip(1).SkipLast(1))
        {
            string name = step.Split('[')[0];
            if (Options.GetTypeInfo(type).Properties.FirstOrDefault(property => property.Name == name)?.PropertyType is not { } inner)
                return type;
            type = inner.IsGenericType ? inner.GetGenericArguments()[^1] : inner;
        }
        return type;
    }

    // System.Text.Json reads 1e999 as infinity; a length or an angle is always finite.
    private sealed class FiniteDoubleConverter : JsonConverter<double>
    {
        public override double Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
        {
            if (reader.TokenType != JsonTokenType.Number)
                throw new JsonException("A number is expected here; NaN and infinity are not numbers.");
            double value = reader.GetDouble();
            return double.IsFinite(value) ? value : throw new JsonException("The number is too large.");
        }

        public override void Write(Utf8JsonWriter writer, double value, JsonSerializerOptions options) =>
            writer.WriteNumberValue(double.IsFinite(value) ? value : throw new InvalidOperationException("A document never holds NaN or infinity."));
    }
}
