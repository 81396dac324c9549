using System.Text.RegularExpressions;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Engine.Documents;

/// <summary>How the words in package, feed and lock are spelt.</summary>
public static partial class PackageWords
{
    public const string Layout = "layout", Adapter = "adapter", Batch = "batch", Scripts = "scripts", Plugin = "plugin";

    internal static readonly string[] Kinds = [Layout, Adapter, Batch, Scripts, Plugin];

    internal static bool IsKindOfScript(string? kind) => kind is Layout or Adapter or Batch;

    public static bool IsName(string? name) => KebabCase.IsValid(name) && !PackagePath.IsReserved(name!);

    internal static bool IsVersion(string? version) => version is { Length: < 64 } && Semantic().IsMatch(version);

    internal static bool IsSha256(string? hash) => hash is not null && Hash().IsMatch(hash);

    /// <summary>One line of text for people.</summary>
    public static bool IsLine(string? text, int longest) => text is not null && text.Trim().Length > 0 && text.Length <= longest && VisibleText.IsVisible(text);

    // Semantic Versioning 2.0.0, without build metadata: two versions that differ in it alone would have no order.
    [GeneratedRegex(@"^(0|[1-9][0-9]{0,8})\.(0|[1-9][0-9]{0,8})\.(0|[1-9][0-9]{0,8})(-(0|[1-9][0-9]{0,8}|[0-9]*[a-zA-Z-][0-9a-zA-Z-]*)(\.(0|[1-9][0-9]{0,8}|[0-9]*[a-zA-Z-][0-9a-zA-Z-]*))*)?\z")]
    private static partial Regex Semantic();

    [GeneratedRegex(@"^[0-9a-f]{64}\z")]
    private static partial Regex Hash();
}
