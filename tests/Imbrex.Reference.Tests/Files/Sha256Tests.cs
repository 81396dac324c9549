using System.Text;
using Imbrex.Sdk.Exports;
using Xunit;

namespace Imbrex.Reference.Tests.Files;

/// <summary>FIPS 180-4 example vectors, through the measuring that every receipt uses.</summary>
public sealed class Sha256Tests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("imbrex-sha-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Theory]
    [InlineData("", 1, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855")]
    [InlineData("abc", 1, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")]
    [InlineData("a", 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0")]
    public async Task Measured_files_have_the_published_digests(string text, int times, string sha256)
    {
        Directory.CreateDirectory(Path.Combine(_folder, "sub"));
        byte[] bytes = Encoding.ASCII.GetBytes(string.Concat(Enumerable.Repeat(text, times)));
        await File.WriteAllBytesAsync(Path.Combine(_folder, "sub", "file"), bytes, TestContext.Current.CancellationToken);
        ExportedFile file = await ExportedFile.MeasureAsync(_folder, "sub/file", TestContext.Current.CancellationToken);
        Assert.Equal(new ExportedFile("sub/file", text.Length * times, sha256), file);
    }
}
