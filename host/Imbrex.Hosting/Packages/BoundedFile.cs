namespace Imbrex.Hosting.Packages;

/// <summary>Reads a file that a stranger may have put there: a device tells no length, and its end never comes.</summary>
internal static class BoundedFile
{
    private const int BufferBytes = 64 * 1024;

    /// <summary>The bytes of a file, or null where it has more than it may.</summary>
    public static byte[]? Read(string path, int most)
    {
        using FileStream file = File.OpenRead(path);
        if (file.CanSeek && file.Length > most)
            return null;
        using var bytes = new MemoryStream(file.CanSeek ? (int)file.Length : 0);
        byte[] buffer = new byte[BufferBytes];
        for (int read; (read = file.Read(buffer)) > 0;)
        {
            if (bytes.Length + read > most)
                return null;
            bytes.Write(buffer, 0, read);
        }
        return bytes.ToArray();
    }
}
