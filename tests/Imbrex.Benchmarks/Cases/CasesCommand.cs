using System.Globalization;
using Imbrex.Engine.Simulation;
using Imbrex.Judging;

namespace Imbrex.Benchmarks.Cases;

/// <summary>Runs the case list and prints a table, one row per case.</summary>
internal static class CasesCommand
{
    private const string Usage = "cases [--only NAME[,NAME...]] [--peer] [--noisy] [--stages]: the case list; --peer adds the library peer, --noisy leaves the takes without noise out";

    public static int Run(string[] args)
    {
        if (!Arguments.TryParse(args, ["--only"], ["--peer", "--noisy", "--stages"], out Arguments given))
            return Arguments.Refuse(Usage);
        string[] names = given.Value("--only")?.Split(',') ?? [.. CaseList.All.Select(one => one.Name)];
        string? unknown = names.FirstOrDefault(name => CaseList.All.All(one => one.Name != name));
        if (unknown is not null)
            return Arguments.Refuse($"There is no case \"{unknown}\". Cases: {string.Join(" ", CaseList.All.Select(one => one.Name))}");
        bool peer = given.Has("--peer");
        if (peer && Peer.Missing is { } missing)
            return Arguments.Refuse(missing);

        Console.WriteLine("| case | RMS px | max px | PSNR dB, noisy | noise-free | SSIM, noisy | noise-free | worst seam (chance); rms (chance) | noise-free | s | CPU s | MB |" + (peer ? " peer: RMS px | max px | PSNR dB | true poses | SSIM | s | CPU s | MB |" : ""));
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |" + (peer ? " --- | --- | --- | --- | --- | --- | --- | --- |" : ""));
        foreach (BenchCase one in CaseList.All.Where(one => names.Contains(one.Name)))
            Console.WriteLine(Row(one, peer, given.Has("--noisy"), given.Has("--stages")));
        return 0;
    }

    private static string Row(BenchCase one, bool peer, bool noisyOnly, bool stages)
    {
        IScene scene = one.Scene();
        string peerCells = "";
        MergeVerdict noisy;
        using (var take = new TakeOnDisk(one, scene, one.Faults))
        {
            noisy = take.Merge();
            if (peer)
                peerCells = PeerCells(take.MergeByPeer(truePoses: false), take.MergeByPeer(truePoses: true));
        }
        MergeVerdict? clean = null;
        if (!noisyOnly && noisy.Outcome.Failure is null)
        {
            using var take = new TakeOnDisk(one, scene, one.Clean);
            clean = take.Merge();
        }
        if (stages)
            Console.Error.WriteLine(one.Name + ": " + string.Join(", ", noisy.Outcome.Stages.Select(stage => Text($"{stage.Stage} {stage.Seconds:0.00} s"))));
        string own = noisy.Outcome.Failure is { } failure
            ? $"not merged: {failure} | | | | | | | | | | | |"
            : Text($"{noisy.Pose!.Rms:0.0000} | {noisy.Pose.Largest:0.0000} | {noisy.Picture!.Psnr:0.00} | {clean?.Picture?.Psnr:0.00} | {noisy.Picture.Ssim:0.00000} | {clean?.Picture?.Ssim:0.00000} | ")
                + Text($"{Seam(noisy.Picture)} | {Seam(clean?.Picture)} | {noisy.Outcome.Seconds:0.00} | {noisy.Outcome.CpuSeconds:0.0} | {noisy.Outcome.PeakMb:0} |") + Holes(noisy.Picture);
        string walkers = noisy.Walkers is { } fate ? $" (of {one.Faults.Walkers.Count}: {fate.Whole} whole, {fate.Gone} gone, {fate.Cut} cut)" : "";
        return $"| {one.Title}{walkers} | {own}{peerCells}";
    }

    private static string Seam(PictureError? picture) => picture?.Seam is not { } seam ? ""
        : Text($"{seam.Worst:0.00} ({seam.Chance:0.00} to {seam.MostChance:0.00}); {seam.Rms:0.000} ({seam.ChanceRms:0.000})");

    private static string Holes(PictureError picture) => picture.Holes == 0 ? "" : $" {picture.Holes} px of holes |";

    private static string PeerCells(PeerVerdict own, PeerVerdict told) => own.Outcome.Failure is { } failure
        ? $" failed: {failure.Split('\n')[^1]} | | | | | | | |"
        : Text($" {own.Pose!.Rms:0.0000} | {own.Pose.Largest:0.0000} | {own.Picture!.Psnr:0.00} | {told.Picture?.Psnr:0.00} | {own.Picture.Ssim:0.00000} | {own.Outcome.Seconds:0.0} | {own.Outcome.CpuSeconds:0.0} | {own.Outcome.PeakMb:0} |");

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
