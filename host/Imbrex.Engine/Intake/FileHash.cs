using System.Buffers;
using System.Security.Cryptography;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Intake;

/// <summary>SHA-256 of a file from its beginning to its end, some of which somebody else may have read already.</summary>
internal sealed class FileHash : IDisposable
{
    private const int PieceBytes = 1 << 18;

    private readonly SafeFileHandle _file;
    private readonly IncrementalHash _hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
    private long _at;

    /// <summary>Opens a file.</summary>
    public FileHash(string path) => _file = File.OpenHandle(path, options: FileOptions.SequentialScan);

    /// <summary>The hash of a whole file, in lower-case hexadecimal.</summary>
    public static string Of(string path, CancellationToken cancellation)
    {
        using var hash = new FileHash(path);
        hash.AppendTo(long.MaxValue, cancellation);
        return hash.Finish();
    }

    /// <summary>Takes in the next bytes, as read by the caller.</summary>
    public void Append(ReadOnlySpan<byte> bytes)
    {
        _hash.AppendData(bytes);
        _at += bytes.Length;
    }

    /// <summary>Reads and takes in what lies before a position, or all that is left.</summary>
    public void AppendTo(long position, CancellationToken cancellation)
    {
        byte[] piece = ArrayPool<byte>.Shared.Rent(PieceBytes);
        try
        {
            while (_at < position)
            {
                cancellation.ThrowIfCancellationRequested();
                int read = RandomAccess.Read(_file, piece.AsSpan(0, (int)Math.Min(PieceBytes, position - _at)), _at);
                if (read == 0)
                    return;
                Append(piece.AsSpan(0, read));
            }
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(piece);
        }
    }

    /// <summary>The hash, in lower-case hexadecimal.</summary>
    public string Finish() => Convert.ToHexStringLower(_hash.GetHashAndReset());

    public void Dispose()
    {
        _hash.Dispose();
        _file.Dispose();
    }
}
