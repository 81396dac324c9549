using System.Text.Unicode;

namespace Imbrex.Hosting.Packages;

/// <summary>What the files of a package may be. A package of scripts holds nothing that could run by itself or that another program would run.</summary>
public static class ContentRules
{
    /// <summary>What a package of scripts may hold, in words.</summary>
    public const string OfScripts = ".csx, .json, .svg, .png, .md and LICENSE";

    private static readonly byte[] PngMark = [0x89, (byte)'P', (byte)'N', (byte)'G', 0x0D, 0x0A, 0x1A, 0x0A];

    /// <summary>Whether a package of scripts may hold a file of this name.</summary>
    internal static bool IsForScripts(string path) => Path.GetFileName(path) == "LICENSE" || Path.GetExtension(path) is ".csx" or ".json" or ".svg" or ".png" or ".md";

    /// <summary>Why a package may not hold a file, as the rest of a sentence that begins with its path; null where it may.</summary>
    /// <param name="path">The file.</param>
    /// <param name="content">Gives its bytes.</param>
    /// <param name="isPlugin">Whether the package is that of a compiled plugin.</param>
    internal static string? Fault(string path, Func<byte[]> content, bool isPlugin)
    {
        if (path.Split('/').Any(step => step.StartsWith('.')))
            return "is a hidden file";
        if (!isPlugin && !IsForScripts(path))
            return $"is none of {OfScripts}, which is all that a package of scripts may hold";
        if (Path.GetExtension(path) == ".png")
            return content().AsSpan().StartsWith(PngMark) ? null : "is no PNG picture";
        if (Path.GetExtension(path) == ".svg")
            return DrawingCheck.Fault(content());
        return isPlugin || IsText(content()) ? null : "is no UTF-8 text";
    }

    private static bool IsText(ReadOnlySpan<byte> content) => !content.Contains((byte)0) && Utf8.IsValid(content);
}
