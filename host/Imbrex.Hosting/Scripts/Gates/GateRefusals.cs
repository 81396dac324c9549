using Imbrex.Sdk;
using Microsoft.CodeAnalysis;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>What the gates say: what a script may not use, where it does, and what to write instead.</summary>
internal static class GateRefusals
{
    public static InputException NotAllowed(ScriptSource source, Location location, string what, string remedy) =>
        new($"A layout or adapter script may not use {what}.", source.Place(location), remedy);

    public static InputException NestedTooDeep(ScriptSource source, int line, int column, int most) =>
        new($"The script nests more than {most} levels deep.", source.Place(line, column), "Give parts of it names of their own.");

    public static InputException InMetadata(ScriptSource source, string what) =>
        new($"The compiled script would use {what}, which a layout or adapter script may not.", source.Path, "Find the line that needs it and write it with plainer means.");
}
