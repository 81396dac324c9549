using System.Text.Json;
using System.Text.Json.Serialization;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Documents;

/// <summary>A depth in mm: one number, or <c>[least, most]</c> for a mount that slides and is clamped.</summary>
[JsonConverter(typeof(Converter))]
public sealed record MountDepthPart(double Least, double Most)
{
    /// <summary>Whether there is nothing to set.</summary>
    public bool IsFixed => Least == Most;

    public static implicit operator MountDepthPart(double depth) => FromDouble(depth);

    public static MountDepthPart FromDouble(double depth) => new(depth, depth);

    public LengthRange ToRange() => new(Least, Most);

    internal void Validate(DocumentCheck check, string path)
    {
        check.NotNegative(Least, path);
        check.Require(Least <= Most, path, "The depth ends before it begins: a range is [least, most].");
    }

    internal sealed class Converter : JsonConverter<MountDepthPart>
    {
        public override MountDepthPart Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
        {
            var number = (JsonConverter<double>)options.GetConverter(typeof(double));
            if (reader.TokenType != JsonTokenType.StartArray)
                return FromDouble(number.Read(ref reader, typeof(double), options));
            var ends = new List<double>();
            while (reader.Read() && reader.TokenType != JsonTokenType.EndArray)
                ends.Add(number.Read(ref reader, typeof(double), options));
            return ends.Count == 2 ? new(ends[0], ends[1]) : throw new JsonException("A depth is a number of mm, or [least, most] for a mount that is clamped.");
        }

        public override void Write(Utf8JsonWriter writer, MountDepthPart value, JsonSerializerOptions options)
        {
            if (value.IsFixed)
            {
                writer.WriteNumberValue(value.Least);
                return;
            }
            writer.WriteStartArray();
            writer.WriteNumberValue(value.Least);
            writer.WriteNumberValue(value.Most);
            writer.WriteEndArray();
        }
    }
}
