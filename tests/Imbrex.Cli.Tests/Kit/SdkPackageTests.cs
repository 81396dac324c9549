using System.IO.Compression;
using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Text;
using System.Xml.Linq;
using Xunit;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>The packages for authors of plugins, packed in a copy of the repository, and what is in them.</summary>
public sealed class SdkPackageTests(SdkPackageTests.Packed packed) : IClassFixture<SdkPackageTests.Packed>
{
    private static readonly Guid SourceLink = new("CC110556-A091-4D38-9FEC-25AB9A351A6A");

    [Theory]
    [InlineData("Imbrex.Sdk")]
    [InlineData("Imbrex.Sdk.Testing")]
    public void A_package_holds_the_assembly_its_documentation_the_licence_and_a_readme(string name)
    {
        using ZipArchive package = packed.Open(name + ".nupkg");
        string[] files = [.. package.Entries.Select(entry => entry.FullName).Where(file => !file.StartsWith("_rels/", StringComparison.Ordinal) && !file.StartsWith("package/", StringComparison.Ordinal))];
        XElement metadata = XDocument.Parse(Text(package, name + ".nuspec")).Root!.Elements().Single();
        string Of(string element) => (string?)metadata.Elements().FirstOrDefault(e => e.Name.LocalName == element) ?? "";

        Assert.Equivalent(new[] { "LICENSE", "README.md", "[Content_Types].xml", $"{name}.nuspec", $"lib/net10.0/{name}.dll", $"lib/net10.0/{name}.xml" }, files, strict: true);
        Assert.Equal((name, "0.1.0", "MIT", "README.md"), (Of("id"), Of("version"), Of("license"), Of("readme")));
        XElement repository = metadata.Elements().Single(element => element.Name.LocalName == "repository");
        Assert.Equal(Packed.Remote, (string?)repository.Attribute("url"));
        string[] dependencies = [.. metadata.Descendants().Where(element => element.Name.LocalName == "dependency").Select(element => $"{(string?)element.Attribute("id")} {(string?)element.Attribute("version")}")];
        Assert.Equal(name == "Imbrex.Sdk" ? [] : ["Imbrex.Sdk 0.1.0"], dependencies);
    }

    [Fact]
    public void The_documentation_is_that_of_the_comments()
    {
        using ZipArchive sdk = packed.Open("Imbrex.Sdk.nupkg");
        using ZipArchive testing = packed.Open("Imbrex.Sdk.Testing.nupkg");

        Assert.Contains("M:Imbrex.Sdk.Layouts.IMosaicLayout.Arrange(Imbrex.Sdk.Layouts.LayoutRequest)", Text(sdk, "lib/net10.0/Imbrex.Sdk.xml"), StringComparison.Ordinal);
        Assert.Contains("F:Imbrex.Sdk.Testing.Conformance.ConformanceRule.CancellationIsHeard", Text(testing, "lib/net10.0/Imbrex.Sdk.Testing.xml"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Imbrex.Sdk")]
    [InlineData("Imbrex.Sdk.Testing")]
    public void Symbols_lead_to_the_sources_and_tell_nothing_of_the_machine(string name)
    {
        using ZipArchive symbols = packed.Open(name + ".snupkg");
        byte[] pdb = Bytes(symbols, $"lib/net10.0/{name}.pdb");
        using MetadataReaderProvider provider = MetadataReaderProvider.FromPortablePdbStream(new MemoryStream(pdb));
        MetadataReader reader = provider.GetMetadataReader();
        string link = reader.CustomDebugInformation.Select(reader.GetCustomDebugInformation).Where(info => reader.GetGuid(info.Kind) == SourceLink)
            .Select(info => Encoding.UTF8.GetString(reader.GetBlobBytes(info.Value))).Single();
        string[] documents = [.. reader.Documents.Select(handle => reader.GetString(reader.GetDocument(handle).Name))];

        Assert.Contains($"https://raw.githubusercontent.com/example/imbrex/{packed.Commit}/*", link, StringComparison.Ordinal);
        Assert.NotEmpty(documents);
        Assert.All(documents, document => Assert.StartsWith($"/_/sdk/{name}/", document, StringComparison.Ordinal));
        using ZipArchive package = packed.Open(name + ".nupkg");
        byte[] dll = Bytes(package, $"lib/net10.0/{name}.dll");
        Assert.DoesNotContain(packed.Folder, Encoding.Latin1.GetString(dll) + Encoding.Latin1.GetString(pdb), StringComparison.Ordinal);
        using var image = new PEReader(new MemoryStream(dll));
        Assert.Contains(image.ReadDebugDirectory(), entry => entry.Type == DebugDirectoryEntryType.Reproducible);
    }

    [Fact]
    public async Task The_same_sources_make_the_same_packages_wherever_they_lie()
    {
        using var elsewhere = new Packed();
        await elsewhere.InitializeAsync();

        foreach (string name in new[] { "Imbrex.Sdk.nupkg", "Imbrex.Sdk.snupkg", "Imbrex.Sdk.Testing.nupkg", "Imbrex.Sdk.Testing.snupkg" })
            Assert.Equal(await File.ReadAllBytesAsync(packed.Find(name), TestContext.Current.CancellationToken), await File.ReadAllBytesAsync(elsewhere.Find(name), TestContext.Current.CancellationToken));
    }

    [Fact]
    public void The_program_brings_the_packages_along_under_a_version_of_their_own_contents()
    {
        string[] files = [.. Directory.EnumerateFiles(Path.Combine(Path.GetDirectoryName(Imbrex.Program)!, "sdk")).Select(path => Path.GetFileName(path)).Order(StringComparer.Ordinal)];

        Assert.Equal(2, files.Length);
        Assert.Matches(@"^Imbrex\.Sdk\.0\.1\.0-local\.h[0-9a-f]{12}\.nupkg$", files[0]);
        Assert.Equal(files[0].Replace("Imbrex.Sdk.0", "Imbrex.Sdk.Testing.0", StringComparison.Ordinal), files[1]);
        using ZipArchive sdk = ZipFile.OpenRead(Path.Combine(Path.GetDirectoryName(Imbrex.Program)!, "sdk", files[0]));
        string dll = "Imbrex.Sdk.dll";
        using var packaged = new PEReader(new MemoryStream(Bytes(sdk, "lib/net10.0/" + dll)));
        using var own = new PEReader(File.OpenRead(Path.Combine(Path.GetDirectoryName(Imbrex.Program)!, dll)));
        Assert.Equal(Module(own), Module(packaged));
    }

    private static Guid Module(PEReader image)
    {
        MetadataReader reader = image.GetMetadataReader();
        return reader.GetGuid(reader.GetModuleDefinition().Mvid);
    }

    private static string Text(ZipArchive archive, string name)
    {
        using var reader = new StreamReader(archive.GetEntry(name)!.Open());
        return reader.ReadToEnd();
    }

    private static byte[] Bytes(ZipArchive archive, string name)
    {
        using var bytes = new MemoryStream();
        using Stream stream = archive.GetEntry(name)!.Open();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }

    /// <summary>A copy of what the packages are made of, with a remote as a clone has one, packed.</summary>
    public sealed class Packed : IAsyncLifetime, IDisposable
    {
        public const string Remote = "https://github.com/example/imbrex.git";

        private static readonly string[] Parts = ["sdk/Imbrex.Sdk", "sdk/Imbrex.Sdk.Testing"];
        private readonly TemporaryFolder _folder = new();

        public string Folder => _folder.Path;

        public string Commit { get; private set; } = "";

        public async ValueTask InitializeAsync()
        {
            foreach (string file in new[] { "Directory.Build.props", "Directory.Build.targets", "Directory.Packages.props", "global.json", ".editorconfig", "LICENSE", ".gitignore", "sdk/Directory.Build.props" })
                Copy(file);
            foreach (string file in Parts.SelectMany(part => Directory.EnumerateFiles(Path.Combine(Imbrex.Repository, part), "*", SearchOption.AllDirectories)))
            {
                string relative = Path.GetRelativePath(Imbrex.Repository, file).Replace('\\', '/');
                if (!relative.Contains("/bin/", StringComparison.Ordinal) && !relative.Contains("/obj/", StringComparison.Ordinal))
                    Copy(relative);
            }
            await GitAsync("init", "-q", "-b", "main");
            await GitAsync("add", "-A");
            await GitAsync("-c", "user.name=a", "-c", "user.email=a@example.org", "-c", "commit.gpgsign=false", "commit", "-q", "-m", "all");
            await GitAsync("remote", "add", "origin", Remote);
            Commit = (await GitAsync("rev-parse", "HEAD")).Output.Trim();
            // Testing packs both: it builds the other, and packing that again costs a second.
            foreach (string part in Parts.Reverse())
                await DotNet.SucceedAsync(Folder, "pack", "-c", "Release", part, "-o", "packages");
        }

        public string Find(string name) => Directory.EnumerateFiles(Path.Combine(Folder, "packages"), name.Replace("Sdk.nupkg", "Sdk.0*.nupkg", StringComparison.Ordinal)
            .Replace("Sdk.snupkg", "Sdk.0*.snupkg", StringComparison.Ordinal).Replace("Testing.", "Testing.0*.", StringComparison.Ordinal)).Single();

        public ZipArchive Open(string name) => ZipFile.OpenRead(Find(name));

        public ValueTask DisposeAsync()
        {
            Dispose();
            return ValueTask.CompletedTask;
        }

        public void Dispose() => _folder.Dispose();

        private async Task<Run> GitAsync(params string[] arguments)
        {
            Run run = await DotNet.RunAsync("git", Folder, arguments);
            return run.ExitCode == 0 ? run : throw new InvalidOperationException(run.Output + run.Error);
        }

        private void Copy(string relative)
        {
            string target = Path.Combine(Folder, relative);
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(Path.Combine(Imbrex.Repository, relative), target);
        }
    }
}
