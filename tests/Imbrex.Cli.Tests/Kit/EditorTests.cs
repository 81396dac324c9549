using System.Xml.Linq;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.Completion;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.Text;
using Xunit;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>
/// An editor that opens the project beside a script knows the script's words. What is asked here is Roslyn's own completion, which the C# editors have theirs from; the editors themselves are not tried.
/// </summary>
public sealed class EditorTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("layout", "Tile", "Places a tile")]
    [InlineData("layout", "Parameter", "Declares a parameter and returns its value")]
    [InlineData("layout", "Centred", "Evenly spaced positions with their middle on the axis")]
    [InlineData("layout", "UsableTile", "The part of a tile that is certain whatever the back does, mm.")]
    [InlineData("layout", "Format", "The rectangle to fill, mm, centred on the origin.")]
    [InlineData("layout", "MaximumTiles", "Most tiles that a script may place.")]
    [InlineData("layout", "Turn", "How the body stands on the back")]
    [InlineData("layout", "RefusalException", "Well-formed input that a rule refuses")]
    [InlineData("adapter", "Pivot", "Declares an axis that turns")]
    [InlineData("adapter", "Carriage", "Says where the carriage stands")]
    [InlineData("adapter", "Parameter", "Declares a parameter and returns its value")]
    [InlineData("batch", "MergeAsync", "Merges a take into")]
    [InlineData("batch", "Arguments", "Arguments given as name=value")]
    [InlineData("batch", "Directory", "")]
    public async Task A_word_is_offered_with_its_documentation(string kind, string word, string documentation)
    {
        Document script = await ScriptAsync(kind, text => Before(text, "@@"));
        string text = (await script.GetTextAsync(TestContext.Current.CancellationToken)).ToString();
        int caret = text.IndexOf("@@", StringComparison.Ordinal);
        script = script.WithText(SourceText.From(text.Remove(caret, 2)));
        CompletionService service = CompletionService.GetService(script)!;

        CompletionList offered = await service.GetCompletionsAsync(script, caret, cancellationToken: TestContext.Current.CancellationToken);

        // A word may share its name with a type of the SDK, which is offered too.
        CompletionItem[] items = [.. offered.ItemsList.Where(item => item.DisplayText == word)];
        CompletionDescription?[] told = await Task.WhenAll(items.Select(item => service.GetDescriptionAsync(script, item, TestContext.Current.CancellationToken)));
        Assert.Contains(told, description => description!.Text.Contains(documentation, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("layout")]
    [InlineData("adapter")]
    [InlineData("batch")]
    public async Task A_script_as_it_is_written_shows_no_error_and_a_mistake_shows_one(string kind)
    {
        Document script = await ScriptAsync(kind, text => text);
        Compilation sound = (await script.Project.GetCompilationAsync(TestContext.Current.CancellationToken))!;
        Document wrong = await ScriptAsync(kind, text => Before(text, "Tiel(1, 2);"), "wrong-one");
        Compilation broken = (await wrong.Project.GetCompilationAsync(TestContext.Current.CancellationToken))!;

        Assert.DoesNotContain(sound.GetDiagnostics(TestContext.Current.CancellationToken), diagnostic => diagnostic.Severity >= DiagnosticSeverity.Warning);
        Assert.Equal("CS0103", Assert.Single(broken.GetDiagnostics(TestContext.Current.CancellationToken), diagnostic => diagnostic.Severity == DiagnosticSeverity.Error).Id);
    }

    [Theory]
    [InlineData("lantern")]
    [InlineData("uneven-detents")]
    [InlineData("two-arcs")]
    [InlineData("brickwork")]
    public async Task The_shipped_layouts_show_no_error_either(string name)
    {
        string source = await File.ReadAllTextAsync(Path.Combine(Imbrex.Repository, "scripts", "layouts", name + ".csx"), TestContext.Current.CancellationToken);
        Document script = await ScriptAsync("layout", _ => source);

        Compilation compilation = (await script.Project.GetCompilationAsync(TestContext.Current.CancellationToken))!;

        Assert.DoesNotContain(compilation.GetDiagnostics(TestContext.Current.CancellationToken), diagnostic => diagnostic.Severity == DiagnosticSeverity.Error);
    }

    // A line in the middle of a script.
    private static string Before(string text, string line)
    {
        int at = new[] { "var overlap", "var rail", "var target" }.Select(word => text.IndexOf(word, StringComparison.Ordinal)).Max();
        return text.Insert(at, line + "\n");
    }

    // The documents and references that the project file names, as a language server would load them.
    private async Task<Document> ScriptAsync(string kind, Func<string, string> edit, string name = "two-rows")
    {
        Run run = await Imbrex.RunInAsync(_folder.Path, "new", kind, name);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        string folder = Path.Combine(_folder.Path, name);
        XDocument file = XDocument.Load(Path.Combine(folder, name + ".csproj"));
        string sdk = (string)file.Descendants("Reference").Single().Attribute("HintPath")!;
        IEnumerable<MetadataReference> references =
        [
            .. ((string)AppContext.GetData("TRUSTED_PLATFORM_ASSEMBLIES")!).Split(Path.PathSeparator).Where(path => Path.GetFileName(path).StartsWith("System.", StringComparison.Ordinal) || Path.GetFileName(path) is "mscorlib.dll" or "netstandard.dll")
                .Select(path => MetadataReference.CreateFromFile(path)),
            MetadataReference.CreateFromFile(sdk, documentation: XmlDocumentationProvider.CreateFromFile(Path.ChangeExtension(sdk, ".xml"))),
        ];
        // Belongs to the document that is returned.
        var workspace = new AdhocWorkspace();
        Project project = workspace.AddProject(ProjectInfo.Create(ProjectId.CreateNewId(), VersionStamp.Default, name, name, LanguageNames.CSharp,
            compilationOptions: new CSharpCompilationOptions(OutputKind.ConsoleApplication, specificDiagnosticOptions: ((string)file.Descendants("NoWarn").Single()).Split(';').Where(code => code.StartsWith("CS", StringComparison.Ordinal)).Select(code => KeyValuePair.Create(code, ReportDiagnostic.Suppress))),
            parseOptions: new CSharpParseOptions(LanguageVersion.CSharp14, DocumentationMode.Diagnose), metadataReferences: references));
        Document? script = null;
        foreach (string item in file.Descendants("Compile").Select(compile => (string)compile.Attribute("Include")!))
        {
            string text = await File.ReadAllTextAsync(Path.Combine(folder, item), TestContext.Current.CancellationToken);
            Document document = project.AddDocument(item, SourceText.From(item.EndsWith(".csx", StringComparison.Ordinal) ? edit(text) : text), filePath: Path.Combine(folder, item));
            project = document.Project;
            script = item.EndsWith(".csx", StringComparison.Ordinal) ? document : script;
        }
        return project.GetDocument(script!.Id)!;
    }
}
