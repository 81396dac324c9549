using System.Reflection;

namespace Imbrex.Cli.Templates;

/// <summary>The files that <c>imbrex new</c> writes, as they lie in the program: readable examples in which three words stand for what the user gives.</summary>
internal static class TemplateFiles
{
    // Ends the names of templates that a build, or NuGet, would otherwise take for its own.
    private const string Suffix = ".template";

    private const string Prefix = "Templates/";

    /// <summary>Files of some templates by their relative path, with the words filled in.</summary>
    /// <param name="words">What stands for what, in file names and contents.</param>
    /// <param name="templates">Names of folders of templates.</param>
    public static SortedDictionary<string, string> Read(IReadOnlyDictionary<string, string> words, params IReadOnlyList<string> templates)
    {
        Assembly program = typeof(TemplateFiles).Assembly;
        var files = new SortedDictionary<string, string>(StringComparer.Ordinal);
        foreach (string template in templates)
        {
            string folder = $"{Prefix}{template}/";
            foreach (string resource in program.GetManifestResourceNames().Select(name => (name, path: name.Replace('\\', '/'))).Where(pair => pair.path.StartsWith(folder, StringComparison.Ordinal)).Select(pair => pair.name))
            {
                string path = resource.Replace('\\', '/')[folder.Length..];
                path = path.EndsWith(Suffix, StringComparison.Ordinal) ? path[..^Suffix.Length] : path;
                using var reader = new StreamReader(program.GetManifestResourceStream(resource)!);
                files.Add(Filled(path, words), Filled(reader.ReadToEnd(), words));
            }
        }
        return files;
    }

    private static string Filled(string text, IReadOnlyDictionary<string, string> words) => words.Aggregate(text, (so, word) => so.Replace(word.Key, word.Value, StringComparison.Ordinal));
}
