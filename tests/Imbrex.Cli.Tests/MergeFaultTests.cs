using System.Diagnostics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>Wrong frames, wrong plans and wrong places for the output: each is named, with what to do, and nothing is written.</summary>
public sealed class MergeFaultTests : IDisposable
{
    private const string Plan = """
        { "schema": "imbrex/plan/1",
          "sensor": { "widthMm": 36, "heightMm": 24, "widthPx": 360, "heightPx": 240 },
          "format": { "widthMm": 60, "heightMm": 22 },
          "tiles": [ { "id": "t1", "xMm": 14, "yMm": 0 }, { "id": "t2", "xMm": -14, "yMm": 0 } ] }
        """;

    private readonly TemporaryFolder _folder = new();
    private readonly string _plan;

    public MergeFaultTests()
    {
        _plan = _folder.Write("plan.json", Plan);
        PlanDocument plan = JsonDocuments.Read<PlanDocument>(_plan, PlanDocument.SchemaName);
        new SimulatedCamera(new QuarryScene(1, 600, 220), plan, new CameraFaults { Seed = 1, PositionSdMm = 0.1, PositionMaxMm = 0.2 }).Shoot(Frames);
    }

    private string Frames => Path.Combine(_folder.Path, "frames");

    private string Output => Path.Combine(_folder.Path, "out");

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Sound_frames_merge()
    {
        Run run = await MergeAsync();

        Assert.True(run.ExitCode == 0, run.Error);
        Assert.Equal(["master.tif", "mosaic.json", "report.html"], Directory.EnumerateFileSystemEntries(Output).Select(path => Path.GetFileName(path)!).Order(StringComparer.Ordinal));
    }

    [Theory]
    [InlineData("missing", "holds 1 picture", "1 missing")]
    [InlineData("extra", "holds 3 pictures", "elsewhere")]
    [InlineData("size", "100 x 80 px", "belongs to this take")]
    [InlineData("one-pixel", "1 x 1 px", "belongs to this take")]
    [InlineData("truncated", "cannot be read", "Copy it from the card again")]
    [InlineData("text", "cannot be read", "Copy it from the card again")]
    [InlineData("empty", "cannot be read", "Copy it from the card again")]
    public async Task A_wrong_frame_is_named(string fault, string what, string remedy)
    {
        Break(fault);

        Run run = await MergeAsync();

        Refused(run, 1, what, remedy);
    }

    [Theory]
    [InlineData("\"xMm\": 14,", "\"xMn\": 14,", "Unknown member \"xMn\"", "Did you mean 'xMm'?")]
    [InlineData("\"xMm\": 14,", "\"xMm\": NaN,", "invalid", "imbrex schema")]
    [InlineData("\"xMm\": 14,", "\"xMm\": 1e999,", "too large", "imbrex schema")]
    [InlineData("\"xMm\": 14,", "\"xMm\": \"14\",", "A number is expected", "imbrex schema")]
    [InlineData("\"xMm\": 14,", "\"xMm\": 14, \"xMm\": 15,", "Duplicate", "imbrex schema")]
    [InlineData("\"xMm\": 14,", "", "required member is missing", "imbrex schema")]
    [InlineData("\"id\": \"t2\"", "\"id\": \"t1\"", "Two tiles are called \"t1\"", "Correct the value")]
    [InlineData("\"widthPx\": 360", "\"widthPx\": 400", "differ by more than 0.5 %", "Correct the value")]
    [InlineData("\"widthMm\": 60", "\"widthMm\": -60", "must be greater than 0", "Correct the value")]
    [InlineData("imbrex/plan/1", "imbrex/plan/2", "imbrex/plan/2", "Expected here is \"imbrex/plan/1\"")]
    [InlineData("\"id\": \"t1\"", "\"id\": \"t1\", \"file\": \"../../secret.tif\"", "not a relative path", "Correct the value")]
    [InlineData("{ \"schema\"", "{ schema", "invalid", "imbrex schema")]
    public async Task A_wrong_plan_is_named_at_its_place(string right, string wrong, string what, string remedy)
    {
        File.WriteAllText(_plan, Plan.Replace(right, wrong, StringComparison.Ordinal));

        Run run = await MergeAsync();

        Refused(run, 1, what, remedy);
        Assert.Contains("plan.json", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Output_that_exists_stays_as_it_is()
    {
        Directory.CreateDirectory(Output);
        string mine = Path.Combine(Output, "master.tif");
        File.WriteAllText(mine, "precious");

        Run run = await MergeAsync();

        Assert.Equal(1, run.ExitCode);
        Assert.Contains("--force", run.Error, StringComparison.Ordinal);
        Assert.Equal("precious", File.ReadAllText(mine));
        Assert.Equal([mine], Directory.EnumerateFileSystemEntries(Output));
    }

    [Fact]
    public async Task A_place_that_cannot_be_written_is_named()
    {
        File.WriteAllText(Output, "a file where the folder should be");

        Run run = await MergeAsync();

        Assert.Equal(1, run.ExitCode);
        Assert.Contains(Output, run.Error, StringComparison.Ordinal);
        Assert.Equal("a file where the folder should be", File.ReadAllText(Output));
    }

    [Theory]
    [InlineData("45", "--orientation is '45'")]
    [InlineData("t9=90", "no tile 't9'")]
    public async Task A_wrong_orientation_is_named(string value, string what)
    {
        Run run = await Imbrex.RunAsync("merge", "--plan", _plan, "--frames", Frames, "--out", Output, "--orientation", value);

        Refused(run, 1, what, "do:");
    }

    [Fact]
    public async Task A_full_disk_is_named_and_nothing_is_left()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Small file systems are made with the mount command of Linux.");
        string disk = Directory.CreateDirectory(Path.Combine(_folder.Path, "disk")).FullName;
        using (Process? mount = Process.Start(new ProcessStartInfo("mount", ["-t", "tmpfs", "-o", "size=64k", "tmpfs", disk]) { RedirectStandardError = true }))
        {
            await mount!.WaitForExitAsync(TestContext.Current.CancellationToken);
            Assert.SkipUnless(mount.ExitCode == 0, "Mounting a small file system needs rights that this account does not have.");
        }
        try
        {
            Run run = await Imbrex.RunAsync("merge", "--plan", _plan, "--frames", Frames, "--out", Path.Combine(disk, "out"));

            Assert.Equal(1, run.ExitCode);
            Assert.Contains("The disk is full", run.Error, StringComparison.Ordinal);
            Assert.Empty(Directory.EnumerateFileSystemEntries(disk));
        }
        finally
        {
            using Process umount = Process.Start("umount", [disk]);
            await umount.WaitForExitAsync(CancellationToken.None);
        }
    }

    [Fact]
    public async Task Ctrl_C_in_the_middle_leaves_nothing_half_written()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "There is no such signal on Windows.");
        using Process process = Imbrex.Start([], ["merge", "--plan", _plan, "--frames", Frames, "--out", Output]);
        // The first line of progress: the merge is under way.
        string? line = await process.StandardError.ReadLineAsync(TestContext.Current.CancellationToken);
        Process.Start("kill", ["-INT", process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture)]).WaitForExit();
        string rest = await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);

        Assert.StartsWith("reading frames", line, StringComparison.Ordinal);
        // A signal that comes after the last stage is too late; then everything is there.
        if (process.ExitCode == 0)
            Assert.True(File.Exists(Path.Combine(Output, "mosaic.json")));
        else
            Assert.False(Directory.Exists(Output), $"exit code {process.ExitCode}: {rest}");
        Assert.True(process.ExitCode is 0 or 130);
    }

    private Task<Run> MergeAsync() => Imbrex.RunAsync("merge", "--plan", _plan, "--frames", Frames, "--out", Output);

    private void Refused(Run run, int exitCode, string what, string remedy)
    {
        Assert.True(run.ExitCode == exitCode, $"exit code {run.ExitCode}\n{run.Error}");
        Assert.Contains(what, run.Error, StringComparison.Ordinal);
        Assert.Contains(remedy, run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Output));
    }

    private void Break(string fault)
    {
        string second = Path.Combine(Frames, "frame-002.tif");
        switch (fault)
        {
            case "missing":
                File.Delete(second);
                break;
            case "extra":
                File.Copy(second, Path.Combine(Frames, "frame-003.tif"));
                break;
            case "size":
                WriteGrey(second, 100, 80);
                break;
            case "one-pixel":
                WriteGrey(second, 1, 1);
                break;
            case "truncated":
                byte[] whole = File.ReadAllBytes(second);
                File.WriteAllBytes(second, whole[..(whole.Length / 2)]);
                break;
            case "text":
                File.WriteAllText(second, "This is not a picture.");
                break;
            default:
                File.WriteAllBytes(second, []);
                break;
        }
    }

    private static void WriteGrey(string path, int width, int height)
    {
        using NetVips.Image image = (NetVips.Image.Black(width, height) + 128).Cast(NetVips.Enums.BandFormat.Uchar);
        image.Tiffsave(path);
    }
}
