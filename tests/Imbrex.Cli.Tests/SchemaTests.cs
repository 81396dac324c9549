using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

public class SchemaTests
{
    public static TheoryData<string> Kinds => ["kit", "mosaic", "plan", "package", "feed"];

    // To renew a file: imbrex schema KIND > host/Imbrex.Engine/Documents/Schemas/KIND.schema.json
    [Theory]
    [MemberData(nameof(Kinds))]
    public async Task The_file_in_the_repository_is_up_to_date(string kind)
    {
        Run run = await Imbrex.RunAsync("schema", kind);

        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Equal(await File.ReadAllTextAsync(Path.Combine(Folder, kind + ".schema.json"), TestContext.Current.CancellationToken), run.Output);
    }

    [Fact]
    public async Task Every_kind_has_a_file()
    {
        string[] listed = (await Imbrex.RunAsync("schema")).Output.Split('\n', StringSplitOptions.RemoveEmptyEntries);

        Assert.Equal(listed.Order(StringComparer.Ordinal), Directory.GetFiles(Folder).Select(path => Path.GetFileName(path).Split('.')[0]).Order(StringComparer.Ordinal));
        Assert.Equal(listed.Order(StringComparer.Ordinal), Kinds.Select(row => row.Data).Order(StringComparer.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public async Task Objects_are_closed_and_numbers_are_numbers(string kind)
    {
        JsonElement schema = (await Imbrex.RunAsync("schema", kind, "--json")).Json.GetProperty("data");

        Assert.Equal($"imbrex/{kind}/1", schema.GetProperty("properties").GetProperty("schema").GetProperty("const").GetString());
        int numbers = 0;
        Walk(schema);
        Assert.True(numbers > 3 || kind is "package" or "feed");

        void Walk(JsonElement node)
        {
            if (node.TryGetProperty("properties", out JsonElement properties))
            {
                Assert.False(node.GetProperty("additionalProperties").GetBoolean());
                foreach (JsonProperty property in properties.EnumerateObject())
                {
                    if (property.Name.EndsWith("Mm", StringComparison.Ordinal) && property.Value.GetProperty("type").ToString().Contains("number", StringComparison.Ordinal))
                        numbers++;
                    Walk(property.Value);
                }
            }
            if (node.TryGetProperty("items", out JsonElement items))
                Walk(items);
        }
    }

    private static string Folder { get; } = Path.Combine(Imbrex.Repository, "host", "Imbrex.Engine", "Documents", "Schemas");
}
