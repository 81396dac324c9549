using Xunit;

namespace Imbrex.Cli.Tests;

public class DoctorTests
{
    [Fact]
    public async Task It_names_libraries_and_folders()
    {
        using var folder = new TemporaryFolder();
        folder.Write("hollow/readme.txt", "no assembly");

        Run run = await Imbrex.RunAsync([("IMBREX_PLUGINS", folder.Path), ("IMBREX_CACHE", folder.Path + "/cache")], "doctor");

        Assert.Equal(3, run.ExitCode);
        Assert.Matches(@"libvips +8\.\d+\.\d+", run.Output);
        Assert.Contains("Roslyn 5.12.0", run.Output, StringComparison.Ordinal);
        Assert.Contains($"{folder.Path} (1 there)", run.Output, StringComparison.Ordinal);
        Assert.Contains($"{folder.Path}/cache", run.Output, StringComparison.Ordinal);
        Assert.Contains("a process of their own without the compiler", run.Output, StringComparison.Ordinal);
        Assert.Contains("hollow.dll is missing", run.Error, StringComparison.Ordinal);
    }
}
