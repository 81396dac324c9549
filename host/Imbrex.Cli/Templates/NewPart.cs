using System.Security;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Cli.Templates;

/// <summary>Something new: which templates it is made of, and which commands come next.</summary>
internal sealed class NewPart
{
    private readonly string _kind;
    private readonly bool _isCompiled;

    private NewPart(string kind, string name, bool isCompiled) => (_kind, Name, _isCompiled) = (kind, name, isCompiled);

    /// <summary>What can be begun.</summary>
    public static IReadOnlyList<string> Kinds { get; } = [PackageWords.Layout, PackageWords.Adapter, "export", PackageWords.Batch];

    public string Name { get; }

    /// <summary>The kind of package that it becomes.</summary>
    public string PackageKind => _isCompiled ? PackageWords.Plugin : _kind;

    /// <summary>One line for the package, the same as the template says of itself.</summary>
    public string Summary => _kind switch
    {
        "layout" => "Level tiles in rows, as few as the format needs",
        "adapter" => "A rail that runs at a slope, on a post that lifts it",
        "batch" => "Merges every take and delivers a copy of each",
        "export" => "A small view as a portable pixmap",
        _ => throw Unknown(_kind),
    };

    /// <summary>Where the package's manifest lies, below the folder.</summary>
    public string ManifestPath => (_isCompiled ? "plugin/" : "") + PackageDocument.FileName;

    /// <exception cref="InputException">There is no such kind, or it is not compiled.</exception>
    public static NewPart Of(string kind, string name, bool isCompiled)
    {
        if (!Kinds.Contains(kind))
            throw Unknown(kind);
        if (isCompiled && kind == "batch")
            throw new InputException("A batch is a script.", "--compiled", "Leave out --compiled.");
        return new(kind, name, isCompiled || kind == "export");
    }

    /// <summary>The files by their path below the folder, without the manifest.</summary>
    public SortedDictionary<string, string> Files()
    {
        var words = new Dictionary<string, string>
        {
            ["SDKVERSION"] = SdkContract.Version.ToString(3),
            // Both stand in XML.
            ["SDKFILE"] = SecurityElement.Escape(Path.Combine(AppContext.BaseDirectory, "Imbrex.Sdk.dll")),
            ["FEED"] = SecurityElement.Escape(Path.Combine(AppContext.BaseDirectory, "sdk")),
            ["PASCAL"] = string.Concat(Name.Split('-').Select(part => char.ToUpperInvariant(part[0]) + part[1..])),
            ["NAME"] = Name,
        };
        if (_isCompiled)
            return TemplateFiles.Read(words, "compiled", _kind == "export" ? "export" : _kind + "-compiled");
        SortedDictionary<string, string> files = TemplateFiles.Read(words, _kind, "editor");
        ScriptKind script = Enum.Parse<ScriptKind>(_kind, ignoreCase: true);
        files.Add(".editor/Words.cs", EditorWords.For(ScriptKinds.Globals(script), ScriptKinds.Imports(script)));
        return files;
    }

    /// <summary>The commands that come next, as they are typed.</summary>
    /// <param name="folder">The folder as the user named it.</param>
    public IEnumerable<string> Next(string folder)
    {
        string At(string path) => Quoted(Path.Combine(folder, path));
        return (_kind, _isCompiled) switch
        {
            ("batch", _) =>
            [
                $"imbrex run {At(Name + ".csx")} --in {Quoted(folder)} --out {At("delivered")} --trust",
                $"imbrex plugin pack {Quoted(folder)}",
            ],
            ("adapter", false) =>
            [
                $"imbrex check fewest-frames --kit {At("kit.json")} --format 60x30",
                $"imbrex catalog --scripts {Quoted(folder)}",
                $"imbrex plugin pack {Quoted(folder)}",
            ],
            ("layout", false) =>
            [
                $"imbrex check {At(Name + ".csx")} --sensor 36x24/6000x4000 --format 90x40",
                $"imbrex catalog --scripts {Quoted(folder)}",
                $"imbrex plugin pack {Quoted(folder)}",
            ],
            _ =>
            [
                $"cd {Quoted(folder)}",
                "dotnet test",
                $"dotnet build -c Release plugin -o out/{Name}",
                $"imbrex plugin pack out/{Name}",
                $"imbrex plugin add {Name}.1.0.0.nupkg --trust",
                "imbrex catalog",
            ],
        };
    }

    private static string Quoted(string path) => path.Any(char.IsWhiteSpace) ? $"\"{path}\"" : path;

    private static InputException Unknown(string kind) => new($"There is nothing called '{kind}' to begin.", "KIND", NearestWord.Suggest(kind, Kinds) ?? $"Give one of: {string.Join(", ", Kinds)}.");
}
