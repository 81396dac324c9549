using System.Xml.Linq;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>Dependencies point one way, as the design draws them: Cli to Hosting to Engine to Sdk, and plugins to the Sdk only.</summary>
public sealed class DependencyArrowsTests
{
    private static readonly Dictionary<string, string[]> Design = new(StringComparer.Ordinal)
    {
        ["Imbrex.Sdk"] = [],
        ["Imbrex.Sdk.Testing"] = ["Imbrex.Sdk"],
        ["Imbrex.Engine"] = ["Imbrex.Sdk"],
        ["Imbrex.Hosting"] = ["Imbrex.Engine"],
        ["Imbrex.Cli"] = ["Imbrex.Hosting"],
        ["Imbrex.Plugins.Layouts"] = ["Imbrex.Sdk"],
        ["Imbrex.Plugins.Adapters"] = ["Imbrex.Sdk"],
        ["Imbrex.Plugins.Exports"] = ["Imbrex.Sdk"],
    };

    [Fact]
    public void Projects_refer_to_what_the_design_allows_and_nothing_else()
    {
        string[] projects = [.. new[] { "sdk", "host", "plugins" }.SelectMany(folder =>
            Directory.EnumerateFiles(Path.Combine(Imbrex.Repository, folder), "*.csproj", SearchOption.AllDirectories))];

        Assert.Equal(Design.Keys.Order(StringComparer.Ordinal), projects.Select(path => Path.GetFileNameWithoutExtension(path)).Order(StringComparer.Ordinal));
        Assert.All(projects, path => Assert.Equal(Design[Path.GetFileNameWithoutExtension(path)], References(path)));
    }

    [Fact]
    public void The_Sdk_brings_no_package_to_those_who_use_it()
    {
        XDocument sdk = XDocument.Load(Path.Combine(Imbrex.Repository, "sdk", "Imbrex.Sdk", "Imbrex.Sdk.csproj"));

        Assert.All(sdk.Descendants("PackageReference"), reference => Assert.Equal("all", (string?)reference.Attribute("PrivateAssets")));
    }

    [Theory]
    [InlineData("Imbrex.Plugins.Layouts")]
    [InlineData("Imbrex.Plugins.Adapters")]
    [InlineData("Imbrex.Plugins.Exports")]
    public void A_plugin_does_not_carry_the_Sdk_or_libvips(string name)
    {
        string folder = Path.Combine(Path.GetDirectoryName(Imbrex.Program)!, "plugins", name);

        string[] files = [.. Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories).Select(path => Path.GetFileName(path))];

        Assert.Contains(name + ".dll", files);
        Assert.DoesNotContain("Imbrex.Sdk.dll", files);
        Assert.DoesNotContain(files, file => file.Contains("vips", StringComparison.OrdinalIgnoreCase));
    }

    // The folder's Directory.Build.props adds the SDK to every plugin.
    private static IEnumerable<string> References(string project)
    {
        var files = new List<string> { project };
        for (string? folder = Path.GetDirectoryName(project); folder != Imbrex.Repository; folder = Path.GetDirectoryName(folder))
            files.Add(Path.Combine(folder!, "Directory.Build.props"));
        return files.Where(File.Exists).SelectMany(file => XDocument.Load(file).Descendants("ProjectReference"))
            .Select(reference => ((string?)reference.Attribute("Include"))!.Split('/', '\\')[^1].Replace(".csproj", "", StringComparison.Ordinal));
    }
}
