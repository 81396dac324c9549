using System.Text;
using System.Text.RegularExpressions;
using Imbrex.Engine.Documents;

namespace Imbrex.Hosting.Packages;

/// <summary>
/// The canonical list of files and their SHA-256, which is what is signed: a line for each, in the ordinal order of paths, as the well-known checksum tools write it
/// (<c>sha256sum -c</c> reads it).
/// </summary>
internal static partial class FileList
{
    /// <summary>The list of some files.</summary>
    public static byte[] Write(IEnumerable<LockedFile> files) => Encoding.ASCII.GetBytes(string.Concat(
        files.OrderBy(file => file.Path, StringComparer.Ordinal).Select(file => $"{file.Sha256}  {file.Path}\n")));

    /// <summary>The files of a list, or null where it is not in its one form.</summary>
    public static IReadOnlyList<LockedFile>? Read(ReadOnlySpan<byte> list)
    {
        string[] lines = Encoding.ASCII.GetString(list).Split('\n');
        LockedFile[] files = [.. lines.SkipLast(1).Select(line => Line().Match(line)).Where(match => match.Success)
            .Select(match => new LockedFile { Sha256 = match.Groups[1].Value, Path = match.Groups[2].Value })];
        return Write(files).AsSpan().SequenceEqual(list) ? files : null;
    }

    [GeneratedRegex(@"^([0-9a-f]{64})  (.+)\z")]
    private static partial Regex Line();
}
