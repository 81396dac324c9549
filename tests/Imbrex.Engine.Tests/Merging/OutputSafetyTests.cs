using System.Diagnostics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>A merge that fails, is refused or is cancelled leaves everything as it was.</summary>
public sealed class OutputSafetyTests
{
    public static TheoryData<string, double, bool> Moments()
    {
        var data = new TheoryData<string, double, bool>();
        foreach (bool hadOutput in new[] { false, true })
        {
            data.Add("reading frames", 0, hadOutput);
            data.Add("reading frames", 0.4, hadOutput);
            data.Add("orienting", 0, hadOutput);
            data.Add("registering", 0, hadOutput);
            data.Add("registering", 0.5, hadOutput);
            data.Add("evening light", 0, hadOutput);
            data.Add("finding seams", 0.3, hadOutput);
            data.Add("looking for holes", 0, hadOutput);
            data.Add("blending", 0, hadOutput);
            data.Add("blending", 0.3, hadOutput);
        }
        return data;
    }

    [Theory]
    [MemberData(nameof(Moments))]
    public void A_cancelled_merge_leaves_the_output_as_it_was(string stage, double part, bool hadOutput)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 2), SmallTake.Shaken);
        if (hadOutput)
            LeaveOldOutput(bench.Output);
        IReadOnlyDictionary<string, string>? before = SmallTake.Snapshot(bench.Output), frames = SmallTake.Snapshot(bench.Frames);
        using var source = new CancellationTokenSource();
        var request = new MergeRequest { Plan = bench.Plan, FramesFolder = bench.Frames, OutputFolder = bench.Output, Workers = 2, Force = true };
        Assert.ThrowsAny<OperationCanceledException>(() => MergeRunner.Run(request, new CancelAt(source, stage, part), TimeProvider.System, source.Token));
        Assert.True(source.IsCancellationRequested);
        Assert.Equal(before, SmallTake.Snapshot(bench.Output));
        Assert.Equal(frames, SmallTake.Snapshot(bench.Frames));
    }

    [Fact]
    public void A_second_run_into_the_same_folder_is_kept_out_and_harms_nothing()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(1, 1), new());
        using (OutputFolder first = OutputFolder.Open(bench.Output))
        {
            InputException e = Assert.Throws<InputException>(() => bench.Merge(request => request with { Force = true }));
            Assert.Equal($"Another run is writing into {bench.Output}.", e.Message);
            first.Keep();
        }
        Assert.Empty(Directory.EnumerateFileSystemEntries(bench.Output));
        bench.Merge(request => request with { Force = true });
    }

    [Fact]
    public void A_file_where_the_folder_should_be_is_called_a_file()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(1, 1), new());
        File.WriteAllText(bench.Output, "mine");
        InputException e = Assert.Throws<InputException>(() => bench.Merge(request => request));
        Assert.Equal($"{bench.Output} is a file.", e.Message);
        Assert.Equal("mine", File.ReadAllText(bench.Output));
    }

    [Theory]
    [InlineData("mosaic.json")]
    [InlineData("master.tif")]
    [InlineData("report.html")]
    public void Existing_output_is_refused_without_force_and_replaced_with_it(string name)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(1, 1), new());
        Directory.CreateDirectory(bench.Output);
        File.WriteAllText(Path.Combine(bench.Output, name), "old");
        IReadOnlyDictionary<string, string>? before = SmallTake.Snapshot(bench.Output);
        InputException e = Assert.Throws<InputException>(() => bench.Merge(request => request with { Force = false }));
        Assert.Contains("--force", e.Remedy);
        Assert.EndsWith(name, e.Where);
        Assert.Equal(before, SmallTake.Snapshot(bench.Output));
        bench.Merge();
        Assert.NotEqual("old", File.ReadAllText(Path.Combine(bench.Output, name)));
    }

    [Theory]
    [InlineData("")]
    [InlineData("deeper/still")]
    public void A_file_in_place_of_the_output_folder_is_named(string below)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(1, 1), new());
        using var scratch = new Scratch();
        File.WriteAllText(scratch["taken"], "mine");
        InputException e = Assert.Throws<InputException>(() => bench.Merge(request => request with { OutputFolder = Path.Combine(scratch["taken"], below) }));
        Assert.Contains("taken", e.Where);
        Assert.Equal("mine", File.ReadAllText(scratch["taken"]));
    }

    [Fact]
    public void Folders_made_on_the_way_to_the_output_go_too()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(1, 1), new());
        using var scratch = new Scratch();
        Cut(Path.Combine(bench.Frames, "frame-001.tif"));
        Assert.Throws<InputException>(() => bench.Merge(request => request with { OutputFolder = Path.Combine(scratch.Folder, "a", "b", "c") }));
        Assert.Empty(scratch.Names);
    }

    [Fact]
    public void A_frame_is_never_replaced_by_the_output()
    {
        PlanDocument plan = SmallTake.Grid(1, 1);
        plan = plan with { Tiles = [plan.Tiles[0] with { File = "master.tif" }] };
        using var bench = new MergeBench(SmallTake.Photograph, plan, new());
        IReadOnlyDictionary<string, string>? before = SmallTake.Snapshot(bench.Frames);
        InputException e = Assert.Throws<InputException>(() => bench.Merge(request => request with { OutputFolder = bench.Frames }));
        Assert.EndsWith("master.tif", e.Where);
        Assert.Equal(before, SmallTake.Snapshot(bench.Frames));
    }

    [Theory]
    [InlineData("cut short")]
    [InlineData("text")]
    [InlineData("other size")]
    [InlineData("one pixel")]
    [InlineData("missing")]
    [InlineData("extra")]
    [InlineData("other profile")]
    public void Bad_frames_are_named_and_nothing_is_left(string fault)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), new());
        string frame = Path.Combine(bench.Frames, "frame-002.tif");
        string named = frame;
        switch (fault)
        {
            case "cut short":
                Cut(frame);
                break;
            case "text":
                File.WriteAllText(frame, "Notes of the day");
                break;
            case "other size":
                SmallTake.Change(frame, image => image.Crop(0, 0, 599, 400));
                break;
            case "one pixel":
                SmallTake.Change(frame, image => image.Crop(0, 0, 1, 1));
                break;
            case "missing":
                File.Delete(frame);
                named = bench.Frames;
                break;
            case "extra":
                File.Copy(frame, Path.Combine(bench.Frames, "frame-003.tif"));
                named = bench.Frames;
                break;
            default:
                SmallTake.Change(frame, image => image.Mutate(m => m.Set(GValue.BlobType, "icc-profile-data", Image.ProfileLoad("p3"))));
                break;
        }
        InputException e = Assert.Throws<InputException>(() => bench.Merge());
        Assert.Equal(named, e.Where);
        Assert.NotNull(e.Remedy);
        Assert.False(Directory.Exists(bench.Output));
    }

    [Fact]
    public void A_damaged_profile_does_not_stop_the_merge()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), SmallTake.Shaken);
        foreach (string path in Directory.GetFiles(bench.Frames, "*.tif"))
            SmallTake.Change(path, image => image.Mutate(m => m.Set(GValue.BlobType, "icc-profile-data", new byte[300])));
        MergeResult result = bench.Merge();
        Assert.Contains(result.Mosaic.Findings, f => f.Kind == "profile");
    }

    [Fact]
    public void Grey_frames_do_not_give_a_colour_master_a_grey_profile()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), SmallTake.Shaken);
        foreach (string path in Directory.GetFiles(bench.Frames, "*.tif"))
        {
            byte[] profile = Image.ProfileLoad("srgb");
            "GRAY"u8.CopyTo(profile.AsSpan(16));
            SmallTake.Change(path, image => image.ExtractBand(1).Copy(interpretation: Enums.Interpretation.Grey16).Mutate(m => m.Set(GValue.BlobType, "icc-profile-data", profile)));
        }
        MergeResult result = bench.Merge();
        using Image master = Image.NewFromFile(result.MasterFile);
        Assert.Equal(3, master.Bands);
        Assert.False(master.Contains("icc-profile-data"));
        Assert.Contains(result.Mosaic.Findings, f => f.Kind == "profile");
    }

    [Theory]
    [InlineData(2000)]
    [InlineData(2500)]
    [InlineData(4000)]
    public void A_full_disk_is_told_and_nothing_is_left(int kilobytes)
    {
        // Two frames of 1.4 MB when decoded and a master of 2.2 MB: too small for the master alone, for the rows, for the master beside them.
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), SmallTake.Shaken);
        foreach (string path in Directory.GetFiles(bench.Frames, "*.tif"))
            SmallTake.Change(path, image => image.Copy(), Enums.ForeignTiffCompression.Deflate);
        using var scratch = new Scratch();
        string disk = Directory.CreateDirectory(scratch["disk"]).FullName;
        if (!OperatingSystem.IsLinux() || Environment.UserName != "root" || !Succeeds("mount", "-t", "tmpfs", "-o", $"size={kilobytes}k", "tmpfs", disk))
            Assert.Skip("A small disk can only be mounted by root on Linux.");
        try
        {
            InputException e = Assert.Throws<InputException>(() => bench.Merge(request => request with { OutputFolder = Path.Combine(disk, "out") }));
            Assert.Contains("disk is full", e.Message);
            Assert.Contains(disk, e.Where);
            Assert.Empty(Directory.EnumerateFileSystemEntries(disk));
        }
        finally
        {
            Succeeds("umount", disk);
        }
    }

    private static bool Succeeds(string program, params IReadOnlyList<string> arguments)
    {
        try
        {
            using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true })!;
            process.WaitForExit();
            return process.ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }

    private static void LeaveOldOutput(string folder)
    {
        Directory.CreateDirectory(folder);
        foreach (string name in new[] { "mosaic.json", "master.tif", "report.html", "notes.txt" })
            File.WriteAllText(Path.Combine(folder, name), "old " + name);
    }

    private static void Cut(string path)
    {
        using FileStream file = File.OpenWrite(path);
        file.SetLength(file.Length * 2 / 3);
    }

    private sealed class CancelAt(CancellationTokenSource source, string stage, double part) : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
            if (value.Stage == stage && value.Done >= part)
                source.Cancel();
        }
    }
}
