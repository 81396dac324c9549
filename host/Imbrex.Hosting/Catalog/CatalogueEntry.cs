using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Catalog;

/// <summary>Where a part comes from.</summary>
public enum OriginKind
{
    /// <summary>A plugin that came with the program.</summary>
    BuiltIn,

    /// <summary>A plugin of the user's.</summary>
    Plugin,

    /// <summary>A script.</summary>
    Script,

    /// <summary>A script of an installed package.</summary>
    Package,
}

/// <summary>Where a part comes from.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Name">Name of the plugin or package, or file name of the script.</param>
/// <param name="Path">Its file.</param>
public sealed record Origin(OriginKind Kind, string Name, string Path);

/// <summary>A part at hand.</summary>
/// <param name="Part">The part itself.</param>
/// <param name="Description">Its name, summary and parameters.</param>
/// <param name="Origin">Where it comes from.</param>
public sealed record CatalogueEntry<T>(T Part, PartDescription Description, Origin Origin);
