using System.Globalization;
using System.Runtime.InteropServices;
using Imbrex.Judging;

namespace Imbrex.Benchmarks;

/// <summary>
/// From the command to the verdict on a layout script of 40 lines, with its cache warm, against a bare <c>--version</c>: processes of the built program, in turn, in one run.
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
        Command[] commands = Commands(repository);
        var rounds = new List<Timed[]>();
        // The first round fills the caches, the script's and the disk's.
        for (int round = 0; round <= given.Count("--times", 20); round++)
        {
            Timed[] times = [.. commands.Select(command => Timed.Run(program, command.Arguments(round)))];
            if (Array.Find(times, time => time.Failure.Length > 0) is { } failed)
                return Arguments.Refuse(failed.Failure);
            if (round > 0)
                rounds.Add(times);
        }
        for (int i = 0; i < commands.Length; i++)
            Tell(commands[i].Name, [.. rounds.Select(times => (times[0], times[i]))]);
        return 0;
    }

    private static Command[] Commands(string repository)
    {
        string script = Path.Combine(repository, "scripts", "layouts", "uneven-detents.csx"), kit = Path.Combine(repository, "scripts", "kits", "filed-stops.json");
        return
        [
            new("--version", _ => ["--version"]),
            new("script", _ => ["check", script, "--sensor", "36x24/6000x4000", "--format", "114x41"]),
            // Each time another format, so that what the script answered is not known yet.
            new("script, asked something new", round => ["check", script, "--sensor", "36x24/6000x4000", "--format", string.Create(CultureInfo.InvariantCulture, $"114x{40 + round * 1e-3 + Random.Shared.NextDouble() * 1e-4:0.######}")]),
            new("script with a kit", _ => ["check", script, "--kit", kit, "--format", "114x41"]),
            new("built-in layout", _ => ["check", "regular-grid", "--sensor", "36x24/6000x4000", "--format", "80x40"]),
        ];
    }

    private static void Tell(string name, (Timed Version, Timed Command)[] pairs)
    {
        string processor = pairs.All(pair => pair.Version.CpuSeconds > 0) ? "; processor " + Words(time => time.CpuSeconds) : "";
        Console.WriteLine($"{name,-28} wall {Words(time => time.Seconds)}{processor}");

        string Words(Func<Timed, double> seconds) => string.Create(CultureInfo.InvariantCulture,
            $"{1000 * Median(pairs.Select(pair => seconds(pair.Command))),4:0} ms, {Median(pairs.Select(pair => seconds(pair.Command) / seconds(pair.Version))):0.0} times");
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }

    private static string? Repository(string? folder) =>
        folder is null || File.Exists(Path.Combine(folder, "Imbrex.slnx")) ? folder : Repository(Path.GetDirectoryName(folder));

    private sealed record Command(string Name, Func<int, string[]> Arguments);

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
