using Imbrex.Sdk;

namespace Imbrex.Engine.Documents;

/// <summary>Writes a file so that it is either complete under its own name or not there: temporary name, flush, rename.</summary>
public static class OutputFile
{
    /// <summary>What temporary names end in.</summary>
    public const string TemporarySuffix = ".part";

    /// <summary>Writes the whole content.</summary>
    /// <exception cref="InputException">The folder cannot be written to, or the disk is full.</exception>
    public static void Write(string path, ReadOnlySpan<byte> content)
    {
        string temporary = path + TemporarySuffix;
        try
        {
            using (var file = new FileStream(temporary, FileMode.Create, FileAccess.Write, FileShare.None))
            {
                file.Write(content);
                file.Flush(flushToDisk: true);
            }
            File.Move(temporary, path, overwrite: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            TryDelete(temporary);
            throw NotWritable(path, e);
        }
    }

    /// <summary>Makes a folder, with those above it.</summary>
    /// <exception cref="InputException">It cannot be made, or is a file.</exception>
    public static void MakeFolder(string path)
    {
        if (File.Exists(path))
            throw new InputException($"{path} is a file.", path, "Name a folder.");
        try
        {
            Directory.CreateDirectory(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw NotWritable(path, e);
        }
    }

    /// <summary>Refuses to replace what exists unless told to.</summary>
    /// <exception cref="InputException">The file exists.</exception>
    public static void RefuseExisting(string path, bool force)
    {
        if (!force && (File.Exists(path) || Directory.Exists(path)))
            throw new InputException($"{path} exists already.", path, "Choose another place, or add --force to replace it.");
    }

    /// <summary>Refuses before the work begins where the disk has no room for what will be written.</summary>
    /// <param name="folder">An existing folder on the disk.</param>
    /// <param name="bytes">What will be written.</param>
    /// <exception cref="InputException">There is less room.</exception>
    public static void RequireRoom(string folder, long bytes)
    {
        long free;
        try
        {
            free = new DriveInfo(Path.GetFullPath(folder)).AvailableFreeSpace;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return; // Some network shares do not tell; a full disk is then noticed when it is written to.
        }
        if (free < bytes)
        {
            throw new InputException(FormattableString.Invariant($"The disk is full: {bytes / 1e6:0.#} MB are needed in {folder} and {free / 1e6:0.#} MB are free."),
                folder, "Free some space or choose another disk; nothing has been written.");
        }
    }

    /// <summary>The error for an output that cannot be written.</summary>
    public static InputException NotWritable(string path, Exception cause)
    {
        bool full = cause is IOException { HResult: 28 or unchecked((int)0x80070070) or unchecked((int)0x80070027) }
            || cause.Message.Contains("No space left", StringComparison.Ordinal) || cause.Message.Contains("disk was full", StringComparison.Ordinal);
        return full
            ? new InputException($"The disk is full: cannot write {path}.", path, "Free some space or choose another disk; nothing half-written is left.", cause)
            : new InputException($"Cannot write {path}: {cause.Message}", path, "Check that the folder exists and that you may write to it.", cause);
    }

    /// <summary>Deletes a file of ours if it is there; a failure to do so never hides the error that led here.</summary>
    public static void TryDelete(string path)
    {
        try
        {
            File.Delete(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // The file stays behind under its temporary name, which says what it is.
        }
    }
}
