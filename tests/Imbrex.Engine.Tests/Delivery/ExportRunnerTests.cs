using Imbrex.Engine.Delivery;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Engine.Tests.Delivery;

public sealed class ExportRunnerTests : IDisposable
{
    private readonly Scratch _scratch = new();
    private readonly MasterImage _image;

    public ExportRunnerTests()
    {
        Directory.CreateDirectory(_scratch["in"]);
        Masters.Write(_scratch["in/master.tif"], 20, 10);
        _image = MasterImage.Open(Masters.Document(20, 10), _scratch["in"]);
    }

    public void Dispose()
    {
        _image.Dispose();
        _scratch.Dispose();
    }

    [Fact]
    public async Task The_deliverable_moves_into_place_whole()
    {
        ExportReceipt receipt = await Run(Honest);
        Assert.Equal(["a.txt", "sub/b.txt"], receipt.Files.Select(file => file.Path));
        Assert.Equal("one", File.ReadAllText(_scratch["out/a.txt"]));
        Assert.Equal("two", File.ReadAllText(_scratch["out/sub/b.txt"]));
        Assert.Equal(["in", "out"], _scratch.Names);
    }

    [Fact]
    public async Task A_destination_that_holds_something_is_refused_and_force_replaces_only_the_same_names()
    {
        Directory.CreateDirectory(_scratch["out"]);
        File.WriteAllText(_scratch["out/mine.txt"], "mine");
        File.WriteAllText(_scratch["out/a.txt"], "old");
        InputException refusal = await Assert.ThrowsAsync<InputException>(() => Run(Honest));
        Assert.Contains("--force", refusal.Remedy);
        Assert.Equal("old", File.ReadAllText(_scratch["out/a.txt"]));
        await Run(Honest, force: true);
        Assert.Equal("one", File.ReadAllText(_scratch["out/a.txt"]));
        Assert.Equal("mine", File.ReadAllText(_scratch["out/mine.txt"]));
        Assert.Equal(["in", "out"], _scratch.Names);
    }

    [Fact]
    public async Task An_empty_folder_is_a_fine_destination_and_a_file_is_none()
    {
        Directory.CreateDirectory(_scratch["out"]);
        await Run(Honest);
        Assert.True(File.Exists(_scratch["out/a.txt"]));
        Directory.Delete(_scratch["out"], true);
        File.WriteAllText(_scratch["out"], "");
        await Assert.ThrowsAsync<InputException>(() => Run(Honest, force: true));
    }

    [Fact]
    public async Task Failures_leave_nothing_and_name_the_target()
    {
        InputException failure = await Assert.ThrowsAsync<InputException>(() => Run(async request =>
        {
            await Honest(request);
            throw new FormatException("odd");
        }));
        Assert.Contains("spy", failure.Message);
        Assert.Contains("odd", failure.Message);
        Assert.IsType<FormatException>(failure.InnerException);
        await Assert.ThrowsAsync<RefusalException>(() => Run(_ => throw new RefusalException("too large")));
        await Assert.ThrowsAsync<OperationCanceledException>(() => Run(async request =>
        {
            await Honest(request);
            throw new OperationCanceledException();
        }));
        Assert.Equal(["in"], _scratch.Names);
    }

    public static TheoryData<string, string> Lies => new()
    {
        { "missing", "not in the folder" }, { "size", "bytes" }, { "hash", "SHA-256" }, { "extra", "not in the receipt" },
        { "outside", "no plain name" }, { "twice", "no plain name" }, { "empty", "empty" },
    };

    [Theory]
    [MemberData(nameof(Lies))]
    public async Task A_receipt_that_is_not_true_delivers_nothing(string lie, string word)
    {
        InputException refusal = await Assert.ThrowsAsync<InputException>(() => Run(async request =>
        {
            ExportReceipt honest = await Honest(request);
            ExportedFile first = honest.Files[0], second = honest.Files[1];
            return new(lie switch
            {
                "missing" => [first, second, first with { Path = "c.txt" }],
                "size" => [first with { Bytes = 4 }, second],
                "hash" => [first with { Sha256 = second.Sha256 }, second],
                "extra" => [first],
                "outside" => [first, second, first with { Path = "../in/master.tif" }],
                "twice" => [first, second, first],
                _ => [],
            });
        }));
        Assert.Contains(word, refusal.Message);
        Assert.Equal(["in"], _scratch.Names);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_target_that_does_not_hear_a_cancellation_is_left_behind_and_named(bool blocks)
    {
        using var cancelled = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        using var release = new ManualResetEventSlim();
        Task<ExportReceipt> export = ExportRunner.RunAsync(new Spy(async request =>
        {
            await cancelled.CancelAsync();
            if (blocks)
                release.Wait(CancellationToken.None);
            else
                await Task.Run(release.Wait, CancellationToken.None);
            return new([]);
        }), _image, _scratch["out"], "quarry", ParameterValues.None, cancellation: cancelled.Token);

        LeftBehindException left = await Assert.ThrowsAsync<LeftBehindException>(() => export);
        release.Set();

        Assert.Equal("Cancelled. The export target spy did not stop within 2 s and was left behind.", left.Message);
        Assert.False(Directory.Exists(_scratch["out"]));
    }

    [Fact]
    public async Task A_target_that_gives_back_nothing_to_wait_for_is_named()
    {
        InputException error = await Assert.ThrowsAsync<InputException>(() => Run(_ => null!));
        Assert.Contains("The export target spy broke its word: its receipt is empty.", error.Message, StringComparison.Ordinal);
    }

    private Task<ExportReceipt> Run(Func<ExportRequest, Task<ExportReceipt>> export, bool force = false) => ExportRunner.RunAsync(
        new Spy(export), _image, _scratch["out"], "quarry", ParameterValues.None, force, cancellation: TestContext.Current.CancellationToken);

    private static async Task<ExportReceipt> Honest(ExportRequest request)
    {
        Directory.CreateDirectory(Path.Combine(request.Folder, "sub"));
        File.WriteAllText(Path.Combine(request.Folder, "a.txt"), "one");
        File.WriteAllText(Path.Combine(request.Folder, "sub/b.txt"), "two");
        return new([await ExportedFile.MeasureAsync(request.Folder, "a.txt", default), await ExportedFile.MeasureAsync(request.Folder, "sub/b.txt", default)]);
    }

    private sealed class Spy(Func<ExportRequest, Task<ExportReceipt>> export) : IExportTarget
    {
        public PartDescription Description { get; } = new("spy", "A target for tests");

        public Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation) => export(request);
    }
}
