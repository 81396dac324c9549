using System.Reflection;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Testing.Conformance;
using Imbrex.Sdk.Testing.Fakes;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.Text;
using Xunit;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>The samples of the articles compile, run, and keep their word; their commands do what is said of them.</summary>
public sealed class ArticleTests
{
    private const string Usings = "global using System; global using System.Collections.Generic; global using System.IO; global using System.Linq; global using System.Threading; global using System.Threading.Tasks;";

    private static readonly Lazy<Assembly> Compiled = new(Compile);

    public static TheoryData<string> Articles => [.. Directory.EnumerateFiles(Markdown.Folder, "*.md").Select(path => Path.GetFileName(path)).Where(name => name != "guide.md").Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Articles))]
    public async Task What_an_article_says_to_write_and_to_type_works(string article)
    {
        using var reader = new Person();
        var follower = new Follower(article);
        IReadOnlyList<Block> blocks = Markdown.Blocks(article);
        foreach ((int i, Block block) in blocks.Index())
            await follower.DoAsync(reader, block, i + 1 < blocks.Count ? blocks[i + 1] : null);
        Assert.Equal(blocks.Where(block => block.Language == "text").Sum(block => block.Text.Count(c => c == '\n')), follower.Quoted);
    }

    [Fact]
    public void There_is_an_article_for_every_entry_of_the_list_and_no_other()
    {
        string[] listed = [.. File.ReadAllLines(Path.Combine(Markdown.Folder, "toc.yml")).Where(line => line.Contains("href:", StringComparison.Ordinal)).Select(line => line.Split("href:")[1].Trim())];

        Assert.Equal(Directory.EnumerateFiles(Markdown.Folder, "*.md").Select(path => Path.GetFileName(path)).Order(StringComparer.Ordinal), listed.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void The_layouts_and_backs_of_the_articles_pass_the_suite()
    {
        LayoutConformance.Check(Made<IMosaicLayout>("Columns"), new() { Request = LayoutRequests.For(Made<IMosaicLayout>("Columns"), "60x30") }).Verify();
        AdapterConformance.Check(Made<IAdapterGeometry>("SlopingRail"), new() { Axes = [new() { Minimum = -40, Maximum = 40, Tolerance = 0.1 }], AngularTolerance = 0.2 }, new() { Trials = 40 }).Verify();
    }

    // A busy machine may keep a thread waiting for longer than the export works on.
    [Fact]
    public async Task The_export_target_of_the_articles_passes_the_suite() =>
        (await ExportConformance.CheckAsync(Made<IExportTarget>("Sizes"), new() { CancellationPatience = TimeSpan.FromSeconds(20) })).Verify();

    [Theory]
    [InlineData("ColumnsTests", 2)]
    [InlineData("NightlyTests", 1)]
    public async Task The_tests_of_the_articles_pass(string type, int count)
    {
        object tests = Made<object>(type);
        MethodInfo[] facts = [.. tests.GetType().GetMethods().Where(method => method.GetCustomAttribute<FactAttribute>() is not null)];

        Assert.Equal(count, facts.Length);
        foreach (MethodInfo fact in facts)
        {
            if (fact.Invoke(tests, null) is Task task)
                await task;
        }
    }

    private static T Made<T>(string type) => (T)Activator.CreateInstance(Compiled.Value.GetType(type)!)!;

    // All blocks that are files of C#, together, as the project of imbrex new would compile them.
    private static Assembly Compile()
    {
        SyntaxTree[] files =
        [
            Parse(Usings, "Usings.cs"),
            .. Directory.EnumerateFiles(Markdown.Folder, "*.md").Order(StringComparer.Ordinal).SelectMany(path => Markdown.Blocks(Path.GetFileName(path)))
                .Where(block => block.Language == "csharp" && block.Named is [.., string name] && name.EndsWith(".cs", StringComparison.Ordinal)).Select(block => Parse(block.Text, block.Named[^1])),
        ];
        IEnumerable<MetadataReference> references = ((string)AppContext.GetData("TRUSTED_PLATFORM_ASSEMBLIES")!).Split(Path.PathSeparator).Select(path => MetadataReference.CreateFromFile(path));
        var compilation = CSharpCompilation.Create("Articles", files, references, new(OutputKind.DynamicallyLinkedLibrary, nullableContextOptions: NullableContextOptions.Enable, generalDiagnosticOption: ReportDiagnostic.Error,
            specificDiagnosticOptions: [KeyValuePair.Create("CS1701", ReportDiagnostic.Suppress), KeyValuePair.Create("CS1702", ReportDiagnostic.Suppress)]));
        using var bytes = new MemoryStream();
        Assert.Empty(compilation.Emit(bytes).Diagnostics.Where(diagnostic => diagnostic.Severity == DiagnosticSeverity.Error));
        return Assembly.Load(bytes.ToArray());
    }

    private static SyntaxTree Parse(string text, string name) => CSharpSyntaxTree.ParseText(SourceText.From(text), new CSharpParseOptions(LanguageVersion.CSharp14), name);
}
