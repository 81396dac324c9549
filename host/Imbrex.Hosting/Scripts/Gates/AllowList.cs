using System.Security.Cryptography;
using System.Text;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>What a layout or adapter script may use, as <c>allowed.txt</c> says it: the one list behind references, syntax, symbols and metadata.</summary>
internal sealed class AllowList
{
    private const string General = "Use the words of the SDK, the numbers, collections and text of .NET, and functions of your own.";

    private readonly Dictionary<string, HashSet<string>> _script = new(StringComparer.Ordinal);
    private readonly Dictionary<string, HashSet<string>> _compiler = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> _instead = new(StringComparer.Ordinal);
    private readonly HashSet<string> _syntax = new(StringComparer.Ordinal);
    private readonly HashSet<string> _modifiers = new(StringComparer.Ordinal);
    // A child that runs scripts needs no hashes, and the library that makes them takes long to load.
    private readonly Lazy<string> _sha256;
    private readonly HashSet<string> _assemblies = new(StringComparer.Ordinal);

    private AllowList(byte[] text)
    {
        _sha256 = new(() => Convert.ToHexStringLower(SHA256.HashData(text)));
        string section = "";
        foreach (string line in Encoding.UTF8.GetString(text).Split('\n', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
        {
            if (line[0] == '[')
                section = line;
            else if (line[0] != '#')
                Add(section, line);
        }
    }

    /// <summary>The list of this build.</summary>
    public static AllowList Shared { get; } = Embedded();

    /// <summary>Hash of the list's file.</summary>
    public string Sha256 => _sha256.Value;

    /// <summary>Simple names of the assemblies that a script may refer to.</summary>
    public IReadOnlySet<string> Assemblies => _assemblies;

    /// <summary>Types that a script may name.</summary>
    public IReadOnlyCollection<string> Types => _script.Keys;

    public bool AllowsSyntax(string kind) => _syntax.Contains(kind);

    public bool AllowsModifier(string word) => _modifiers.Contains(word);

    /// <summary>Whether a script may name a type.</summary>
    /// <param name="type">Its name in metadata, such as <c>System.Collections.Generic.List`1+Enumerator</c>.</param>
    public bool AllowsType(string type) => _script.ContainsKey(type);

    /// <summary>Whether a type may stand in a compiled script.</summary>
    public bool KnowsType(string type) => _script.ContainsKey(type) || _compiler.ContainsKey(type);

    /// <summary>Whether a script may use a member.</summary>
    /// <param name="type">The declaring type.</param>
    /// <param name="member">Its name in metadata.</param>
    /// <param name="parameters">The simple names of its parameters' types, asked for only where the list tells overloads apart.</param>
    public bool AllowsMember(string type, string member, Func<string> parameters) => Holds(_script, type, member, parameters);

    /// <summary>Whether a member may stand in a compiled script.</summary>
    public bool KnowsMember(string type, string member, Func<string> parameters) =>
        Holds(_script, type, member, parameters) || Holds(_compiler, type, member, parameters);

    /// <summary>What to write instead of something that is not allowed.</summary>
    /// <param name="names">Names for it, the closest first.</param>
    public string Instead(params ReadOnlySpan<string> names)
    {
        foreach (string name in names)
        {
            if (_instead.TryGetValue(name, out string? remedy))
                return remedy;
        }
        return General;
    }

    /// <summary>Whether the list has a sentence for a name.</summary>
    public bool HasInstead(string name) => _instead.ContainsKey(name);

    private static bool Holds(Dictionary<string, HashSet<string>> types, string type, string member, Func<string> parameters)
    {
        if (!types.TryGetValue(type, out HashSet<string>? members))
            return false;
        string name = Plain(member);
        return members.Contains(name) || (members.Contains(name + "(") && members.Contains($"{name}({parameters()})"));
    }

    // A property is listed by its own name, a constructor as 'new'.
    private static string Plain(string member) => member switch
    {
        ".ctor" => "new",
        ['g' or 's', 'e', 't', '_', .. string property] => property,
        _ => member,
    };

    private void Add(string section, string line)
    {
        switch (section)
        {
            case "[assemblies]":
                _assemblies.UnionWith(line.Split(' '));
                break;
            case "[syntax]":
                _syntax.UnionWith(line.Split(' '));
                break;
            case "[modifiers]":
                _modifiers.UnionWith(line.Split(' '));
                break;
            case "[instead]":
                int equals = line.IndexOf('=', StringComparison.Ordinal);
                _instead[line[..equals].TrimEnd()] = line[(equals + 1)..].TrimStart();
                break;
            default:
                AddType(section == "[script]" ? _script : _compiler, line);
                break;
        }
    }

    private static void AddType(Dictionary<string, HashSet<string>> types, string line)
    {
        int colon = line.IndexOf(':', StringComparison.Ordinal);
        var members = new HashSet<string>(line[(colon + 1)..].Split(' ', StringSplitOptions.RemoveEmptyEntries), StringComparer.Ordinal);
        foreach (string overload in members.Where(member => member.EndsWith(')')).ToArray())
            members.Add(overload[..(overload.IndexOf('(', StringComparison.Ordinal) + 1)]);
        types.Add(line[..colon], members);
    }

    private static AllowList Embedded()
    {
        using Stream stream = typeof(AllowList).Assembly.GetManifestResourceStream("allowed.txt")!;
        byte[] text = new byte[stream.Length];
        stream.ReadExactly(text);
        return new(text);
    }
}
