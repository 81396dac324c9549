using System.Security.Cryptography;
using System.Text;
using Imbrex.Hosting.Scripts.Children;
using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// What layout scripts have answered. A layout script is pure and can see neither clock nor chance, so the same bytes, asked the same by the same build, place the same tiles:
/// to check a layout, plan it and draw its card takes one run of the script. What lies here is plain data and is believed no more than what comes from a child.
/// </summary>
/// <param name="cache">Where compiled scripts are kept, too.</param>
public sealed class ScriptAnswers(ScriptCache cache)
{
    /// <summary>Whether anything is kept. While a slider is dragged, thousands of answers come that nobody asks for again.</summary>
    public bool Keeps { get; set; } = true;

    /// <summary>The answer of the script to the same request, or null.</summary>
    internal LayoutScriptResult? Find(ScriptSource script, LayoutScriptRequest request)
    {
        if (!Keeps || cache.Find(Key(script, request)) is not { } entry)
            return null;
        try
        {
            return ChildMessages.Answer(entry.Assembly).Result is { } result ? PlainResult.Checked(result, request.IsProbe) : null;
        }
        catch (Exception e) when (e is InvalidDataException or InputException or ArgumentException or OverflowException)
        {
            return null;
        }
    }

    /// <summary>Keeps an answer.</summary>
    internal void Keep(ScriptSource script, LayoutScriptRequest request, LayoutScriptResult result)
    {
        if (Keeps)
            cache.Keep(Key(script, request), ChildMessages.Result(result), []);
    }

    // The allow-list and what the results are checked by are in the program's own build; how the script compiles is in its build and the runtime's.
    private static string Key(ScriptSource script, LayoutScriptRequest request)
    {
        string builds = string.Join('\n', "answer", script.Sha256, CachedScriptCompiler.Build(typeof(SdkContract)), CachedScriptCompiler.Build(typeof(ScriptAnswers)), CachedScriptCompiler.Build(typeof(object)));
        return Convert.ToHexStringLower(SHA256.HashData([.. Encoding.UTF8.GetBytes(builds), .. ChildMessages.Execute([], [], request)]));
    }
}
