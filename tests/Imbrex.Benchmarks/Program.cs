using BenchmarkDotNet.Running;
using Imbrex.Benchmarks;
using Imbrex.Benchmarks.Cases;
using Imbrex.Benchmarks.Children;

string[] rest = args.Length > 0 ? args[1..] : [];
return args.FirstOrDefault() switch
{
    "cases" => CasesCommand.Run(rest),
    "memory" => MemoryCommand.Run(rest),
    "growth" => GrowthCommand.Run(rest),
    "start" => StartCommand.Run(rest),
    "floor" => FloorCommand.Run(rest),
    "checker" => CheckerCommand.Run(rest),
    MergeChild.Name => MergeChild.Run(rest),
    _ => Kernels(args),
};

static int Kernels(string[] args)
{
    BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
    return 0;
}
