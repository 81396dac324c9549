using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>The files of a folder that go into a package, and those that do not.</summary>
internal sealed class PackedFolder
{
    private readonly SortedDictionary<string, byte[]> _files = new(StringComparer.Ordinal);
    private readonly List<string> _leftOut = [];
    private readonly string _root;

    private PackedFolder(string folder) => _root = folder;

    /// <summary>Files by their path below the folder, without the manifest.</summary>
    public SortedDictionary<string, byte[]> Files => _files;

    /// <summary>Files that a package of scripts cannot hold.</summary>
    public IReadOnlyList<string> LeftOut => _leftOut;

    /// <summary>Reads a folder.</summary>
    /// <exception cref="RefusalException">A link, or more than a package may hold.</exception>
    public static PackedFolder Read(string folder, bool isPlugin)
    {
        var packed = new PackedFolder(folder);
        long total = 0;
        packed.Add(new DirectoryInfo(folder), "", isPlugin, ref total);
        return packed;
    }

    private void Add(DirectoryInfo folder, string below, bool isPlugin, ref long total)
    {
        // Hidden files are an editor's or a version control's, and so is the project beside a script; packages are what comes out of here.
        foreach (FileSystemInfo item in folder.EnumerateFileSystemInfos().OrderBy(item => item.Name, StringComparer.Ordinal))
        {
            if (item.Name.StartsWith('.') || item.Extension == ".nupkg" || (!isPlugin && item.Extension == ".csproj"))
                continue;
            string path = below + item.Name;
            if (item.LinkTarget is not null)
                throw new RefusalException($"'{path}' is a link.", Path.Combine(_root, path), "Put the file itself there.");
            if (item is DirectoryInfo inner)
            {
                // What a build leaves beside a script's project.
                if (isPlugin || below.Length > 0 || item.Name is not ("bin" or "obj"))
                    Add(inner, path + "/", isPlugin, ref total);
            }
            else if (path != PackageDocument.FileName)
            {
                Add((FileInfo)item, path, isPlugin, ref total);
            }
        }
    }

    private void Add(FileInfo file, string path, bool isPlugin, ref long total)
    {
        if (!isPlugin && !ContentRules.IsForScripts(path))
        {
            _leftOut.Add(path);
            return;
        }
        if (PackagePath.Fault(path) is { } fault)
            throw new RefusalException($"'{path}' {fault}.", file.FullName, "Rename it.");
        total += file.Length;
        if (file.Length > PackageLimits.File || total > PackageLimits.Total || _files.Count >= PackageLimits.Entries)
            throw new RefusalException($"The folder holds more than a package may: {PackageLimits.Entries} files, {PackageLimits.File >> 20} MB each, {PackageLimits.Total >> 20} MB together.", _root, "Take out what the package does not need.");
        _files.Add(path, File.ReadAllBytes(file.FullName));
    }
}
