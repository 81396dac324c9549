using NetVips;
using Xunit;

namespace Imbrex.Reference.Tests.Files;

/// <summary>
/// How libvips must be asked so that a file that was cut short is not read as if it were whole. Observed on the library itself; its
/// documentation of fail-on gives the levels.
/// </summary>
public sealed class DamagedFileTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("imbrex-damaged-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    public static TheoryData<string, int> Cuts => new()
    {
        { "picture.tif", 50 }, { "picture.tif", 95 }, { "packed.tif", 50 }, { "packed.tif", 95 }, { "picture.jpg", 50 }, { "picture.jpg", 95 }, { "picture.png", 50 },
    };

    [Theory]
    [MemberData(nameof(Cuts))]
    public void With_fail_on_error_a_file_that_was_cut_short_is_refused(string name, int percent)
    {
        string path = Whole(name);
        Read(path, Enums.FailOn.Error);
        byte[] bytes = File.ReadAllBytes(path);
        File.WriteAllBytes(path, bytes[..(bytes.Length * percent / 100)]);
        Assert.Throws<VipsException>(() => Read(path, Enums.FailOn.Error));
    }

    // Why the flag is needed. When this fails, libvips has become stricter and the notes can be shortened.
    [Fact]
    public void Without_it_a_jpeg_that_was_cut_short_passes_in_silence()
    {
        string path = Whole("picture.jpg");
        byte[] bytes = File.ReadAllBytes(path);
        File.WriteAllBytes(path, bytes[..(bytes.Length / 2)]);
        Read(path, Enums.FailOn.None);
    }

    private static void Read(string path, Enums.FailOn failOn)
    {
        using Image image = Image.NewFromFile(path, access: Enums.Access.Sequential, failOn: failOn);
        _ = image.Avg();
    }

    private string Whole(string name)
    {
        using Image noise = Image.Gaussnoise(400, 300, mean: 128, sigma: 40, seed: 3);
        using Image bytes = noise.Bandjoin(noise, noise).Cast(Enums.BandFormat.Uchar).Copy(interpretation: Enums.Interpretation.Srgb);
        string path = Path.Combine(_folder, name);
        if (name == "packed.tif")
            bytes.Tiffsave(path, compression: Enums.ForeignTiffCompression.Deflate);
        else
            bytes.WriteToFile(path);
        return path;
    }
}
