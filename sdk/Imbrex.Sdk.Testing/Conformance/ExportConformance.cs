using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Testing.Fakes;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>Tries an export target with pictures and parameters of all kinds and compares what it says with what it does.</summary>
public static class ExportConformance
{
    // A block may be at most this part of a large picture.
    private const int LargestPart = 4;

    private const string Fault = "The disk with the picture is gone.";

    /// <summary>Runs the suite: <c>(await ExportConformance.CheckAsync(new ListingExport())).Verify();</c></summary>
    /// <param name="target">The export target.</param>
    /// <param name="options">How hard it is tried.</param>
    public static async Task<ConformanceReport> CheckAsync(IExportTarget target, ExportConformanceOptions? options = null)
    {
        ArgumentNullException.ThrowIfNull(target);
        options ??= new();
        var findings = new FindingList(options.Without);
        if (DescriptionCheck.Check(target, () => target.Description, findings) is not { } description)
            return findings.Report(target.GetType().Name, 0, 0);
        ParameterValues[] values = [.. LegalValues.Of(description.Parameters, options.Trials, options.Seed)];
        int trials = 0, served = 0;
        foreach (ParameterValues one in values)
        {
            var trial = new ExportTrial(target, Picture(trials), one, options, findings);
            served += await trial.RunAsync(isOrdinary: trials == 0).ConfigureAwait(false) ? 1 : 0;
            trials++;
            if (trial.IsEndless)
                return findings.Report(description.Name, trials, served);
        }
        await CheckTallAsync(target, values[0], options, findings).ConfigureAwait(false);
        return findings.Report(description.Name, trials, served);
    }

    // An ordinary picture first, then one pixel, one row, one column, and sizes that no block divides, with and without alpha.
    private static FakeMosaicImage Picture(int i)
    {
        (int width, int height) = i == 0 ? (640, 480) : ((int, int)[])[(331, 257), (64, 48), (1, 1), (257, 1), (1, 257), (97, 613)] is var sizes ? sizes[(i - 1) % sizes.Length] : default;
        return new(width, height, i % 2 == 0 ? 3 : 4);
    }

    private static async Task CheckTallAsync(IExportTarget target, ParameterValues values, ExportConformanceOptions options, FindingList findings)
    {
        var whole = new ExportTrial(target, Tall(options, null), values, options, findings);
        await whole.RunAsync(isOrdinary: false).ConfigureAwait(false);
        whole.RequireProgress();
        long samples = (long)whole.Image.Width * whole.Image.Height * whole.Image.Bands;
        findings.Require(whole.Image.LargestBlock <= samples / LargestPart, ConformanceRule.PictureIsReadInBlocks,
            $"A picture of {whole.Image.Width} x {whole.Image.Height} px is read in blocks of up to {whole.Image.LargestBlock} samples, {100 * whole.Image.LargestBlock / samples} % of it.",
            LegalValues.InWords(values), "Read some rows or a tile at a time, work on them, and go on: pictures of gigabytes come this way.");
        if (whole.IsEndless)
            return;

        using var already = new CancellationTokenSource();
        await already.CancelAsync().ConfigureAwait(false);
        await new ExportTrial(target, Tall(options, null), values, options, findings).CancelAsync(already, () => Environment.TickCount64).ConfigureAwait(false);
        using var midway = new CancellationTokenSource();
        long cancelled = 0;
        FakeMosaicImage tall = Tall(options, row =>
        {
            if (row >= options.TallWidth / 2 && Interlocked.CompareExchange(ref cancelled, Environment.TickCount64, 0) == 0)
                midway.Cancel();
        });
        await new ExportTrial(target, tall, values, options, findings).CancelAsync(midway, () => Interlocked.Read(ref cancelled)).ConfigureAwait(false);

        FakeMosaicImage broken = Tall(options, row =>
        {
            if (row >= options.TallWidth)
                throw new InputException(Fault, "master.tif", "Copy it again.");
        });
        await new ExportTrial(target, broken, values, options, findings).BreakAsync(Fault).ConfigureAwait(false);
    }

    private static FakeMosaicImage Tall(ExportConformanceOptions options, Action<int>? onRead) => new(options.TallWidth, 3 * options.TallWidth) { Paint = FakeMosaicImage.Slopes, OnRead = onRead };
}
