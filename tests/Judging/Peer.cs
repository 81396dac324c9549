using System.Text.Json;

namespace Imbrex.Judging;

/// <summary>What the library peer made of a take.</summary>
/// <param name="Seconds">From start to end of its process.</param>
/// <param name="CpuSeconds">Processor time that it used; null where unknown.</param>
/// <param name="PeakMb">Its most anonymous memory, 10^6 bytes; null where unknown.</param>
/// <param name="Picture">The picture.</param>
/// <param name="Corners">Canvas positions of each tile's corner pixels, in stored order.</param>
/// <param name="Failure">What went wrong, or null.</param>
internal sealed record PeerOutcome(double Seconds, double? CpuSeconds, double? PeakMb, string Picture, IReadOnlyDictionary<string, (double X, double Y)[]> Corners, string? Failure);

/// <summary>
/// The library peer: <c>peer.py</c>, a mosaic put together from a general-purpose image library. It needs python3 with OpenCV (Debian's
/// python3-opencv); where they are missing, what needs it is skipped.
/// </summary>
internal static class Peer
{
    private static readonly Lazy<string?> Python = new(() => new[] { "python3", "/usr/bin/python3" }.FirstOrDefault(HasLibrary));

    /// <summary>Why the peer cannot run here, or null if it can.</summary>
    public static string? Missing => Python.Value is null ? "python3 with OpenCV (Debian: python3-opencv) is not installed." : null;

    /// <summary>Runs the peer on a take.</summary>
    /// <param name="plan">The plan's file.</param>
    /// <param name="frames">Folder of the frames.</param>
    /// <param name="output">Folder for the result.</param>
    /// <param name="truth">truth.json, if it is to be told where the frames stood.</param>
    /// <param name="toleranceMm">How far tiles may lie from the plan, mm.</param>
    public static PeerOutcome Run(string plan, string frames, string output, string? truth, double toleranceMm)
    {
        string script = Path.Combine(AppContext.BaseDirectory, "Peer", "peer.py");
        string[] arguments = [script, plan, frames, output, "--tolerance", toleranceMm.ToString(System.Globalization.CultureInfo.InvariantCulture)];
        ChildProcess child = ChildProcess.Run(Python.Value ?? throw new InvalidOperationException(Missing), truth is null ? arguments : [.. arguments, "--poses", truth]);
        string picture = Path.Combine(output, "peer.tif");
        if (child.ExitCode != 0)
            return new(child.Seconds, child.CpuSeconds, child.PeakMb, picture, new Dictionary<string, (double, double)[]>(), child.Error);
        using JsonDocument poses = JsonDocument.Parse(File.ReadAllBytes(Path.Combine(output, "poses.json")));
        var corners = poses.RootElement.GetProperty("tiles").EnumerateArray().ToDictionary(tile => tile.GetProperty("id").GetString()!,
            tile => tile.GetProperty("cornersPx").EnumerateArray().Select(corner => (corner[0].GetDouble(), corner[1].GetDouble())).ToArray());
        return new(child.Seconds, child.CpuSeconds, child.PeakMb, picture, corners, null);
    }

    private static bool HasLibrary(string python)
    {
        try
        {
            return ChildProcess.Run(python, ["-c", "import cv2, numpy; cv2.detail_MultiBandBlender"]).ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false; // No such program.
        }
    }
}
