namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>The layers between a stranger's script and its run. The program has all of them on; a test may try one alone.</summary>
[Flags]
internal enum ScriptLayers
{
    None = 0,

    /// <summary>Brackets nested too deep, before anything is parsed. Length and hidden characters are refused when a script is read.</summary>
    Text = 1,

    /// <summary>Kinds of syntax, modifiers, identifiers.</summary>
    Syntax = 2,

    /// <summary>Reference assemblies that show what is listed only.</summary>
    References = 4,

    /// <summary>What every expression means, implicit calls included.</summary>
    Symbols = 8,

    /// <summary>What the compiled assembly refers to.</summary>
    Metadata = 16,

    All = Text | Syntax | References | Symbols | Metadata,
}
