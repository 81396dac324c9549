using System.Globalization;
using System.Runtime.InteropServices;
using Imbrex.Judging;

namespace Imbrex.Benchmarks;

/// <summary>
/// From the command to the verdict on a layout script of 40 lines, with the script's cache warm, against a bare <c>--version</c>: both as processes of the built program,
/// alternately in one run.
/// </summary>
internal static class StartCommand
{
    private const string Usage = "start: check of a 40-line script against --version; --program FILE (the built imbrex), --times N (20)";

    public static int Run(string[] args)
    {
        if (!Arguments.TryParse(args, ["--program", "--times"], [], out Arguments given) || given.Value("--program") is not { } program)
            return Arguments.Refuse(Usage);
        program = Path.GetFullPath(program);
        if (!File.Exists(program))
            return Arguments.Refuse($"There is no {program}: dotnet build -c Release host/Imbrex.Cli makes it.");
        if (Repository(AppContext.BaseDirectory) is not { } repository)
            return Arguments.Refuse("This program does not lie in a working copy, whose scripts are what is measured: run it from where it is built.");
        string[] version = ["--version"];
        string[] check =
        [
            "check", Path.Combine(repository, "scripts", "layouts", "uneven-detents.csx"), "--kit", Path.Combine(repository, "scripts", "kits", "filed-stops.json"), "--format", "114x41",
        ];
        var times = new List<(Timed Version, Timed Check)>();
        // The first round fills the caches, the script's and the disk's.
        for (int round = 0; round <= given.Count("--times", 20); round++)
        {
            (Timed Version, Timed Check) pair = (Timed.Run(program, version), Timed.Run(program, check));
            if (pair.Version.Failure + pair.Check.Failure is { Length: > 0 } failure)
                return Arguments.Refuse(failure);
            if (round > 0)
                times.Add(pair);
        }
        Tell("wall", pair => (pair.Version.Seconds, pair.Check.Seconds), times);
        if (times.All(pair => pair.Version.CpuSeconds > 0))
            Tell("processor", pair => (pair.Version.CpuSeconds, pair.Check.CpuSeconds), times);
        return 0;
    }

    private static void Tell(string what, Func<(Timed Version, Timed Check), (double, double)> measure, List<(Timed Version, Timed Check)> times)
    {
        (double Version, double Check)[] pairs = [.. times.Select(measure)];
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{what}, median of {pairs.Length}: --version {1000 * Median(pairs.Select(pair => pair.Version)):0} ms, check {1000 * Median(pairs.Select(pair => pair.Check)):0} ms, ratio {Median(pairs.Select(pair => pair.Check / pair.Version)):0.0}"));
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }

    private static string? Repository(string? folder) =>
        folder is null || File.Exists(Path.Combine(folder, "Imbrex.slnx")) ? folder : Repository(Path.GetDirectoryName(folder));

    /// <summary>One run of the program. Its processor time is what all finished children of this process have used more than before, exact to the microsecond.</summary>
    private sealed record Timed(double Seconds, double CpuSeconds, string Failure)
    {
        private const int Children = -1;

        public static Timed Run(string program, string[] arguments)
        {
            double before = OfChildren();
            ChildProcess run = ChildProcess.Run(program, arguments);
            return new(run.Seconds, OfChildren() - before, run.ExitCode == 0 ? "" : run.Error + run.Output);
        }

        // 0 where the system is another. struct rusage begins with user and system time, each as seconds and microseconds (getrusage(2)).
        private static double OfChildren()
        {
            long[] usage = new long[32];
            return OperatingSystem.IsLinux() && GetUsage(Children, usage) == 0 ? usage[0] + usage[2] + 1e-6 * (usage[1] + usage[3]) : 0;
        }

        [DllImport("libc", EntryPoint = "getrusage")]
        [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
        private static extern int GetUsage(int who, long[] usage);
    }
}
