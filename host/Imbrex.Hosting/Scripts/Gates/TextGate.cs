using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>Looks at a script before it is parsed: a parser goes as deep as the brackets do.</summary>
internal static class TextGate
{
    /// <summary>No layout needs more brackets around one another.</summary>
    public const int DeepestBrackets = 40;

    // Brackets in text and comments count too: to know them apart would mean to parse.
    /// <exception cref="InputException">Brackets are nested too deep.</exception>
    public static void Check(ScriptSource source)
    {
        int depth = 0;
        for (int line = 0; line < source.Lines.Count; line++)
        {
            for (int column = 0; column < source.Lines[line].Length; column++)
            {
                char letter = source.Lines[line][column];
                if (letter is '(' or '[' or '{' && ++depth > DeepestBrackets)
                    throw GateRefusals.NestedTooDeep(source, line + 1, column + 1, DeepestBrackets);
                if (letter is ')' or ']' or '}' && depth > 0)
                    depth--;
            }
        }
    }
}
