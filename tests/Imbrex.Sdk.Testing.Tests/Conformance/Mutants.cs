using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Testing.Conformance;
using Rule = Imbrex.Sdk.Testing.Conformance.ConformanceRule;

namespace Imbrex.Sdk.Testing.Tests.Conformance;

/// <summary>Parts that are bad in one respect, each with the rule that must find it.</summary>
internal static class Mutants
{
    private static readonly TimeSpan Short = TimeSpan.FromMilliseconds(300);

    public static IReadOnlyList<(string Name, Rule Rule, Func<Task<ConformanceReport>> Check)> All { get; } = [.. Layouts(), .. Backs(), .. Exports()];

    private static IEnumerable<(string, Rule, Func<Task<ConformanceReport>>)> Layouts()
    {
        static (string, Rule, Func<Task<ConformanceReport>>) Layout(string name, Rule rule, Func<IReadOnlyList<Tile>, LayoutRequest, IReadOnlyList<Tile>> spoil, LayoutConformanceOptions? options = null) =>
            (name, rule, () => Task.FromResult(LayoutConformance.Check(new PairLayout { Spoil = spoil }, options)));

        static (string, Rule, Func<Task<ConformanceReport>>) Described(string name, Rule rule, Func<PartDescription> describe) =>
            (name, rule, () => Task.FromResult(LayoutConformance.Check(new PairLayout { Describe = describe })));

        int calls = 0, reads = 0;
        var shared = new List<Tile>();
        yield return ("a layout that needs a spring", Rule.Constructible, () => Task.FromResult(LayoutConformance.Check(new NeedyLayout(1))));
        yield return Described("a summary with a full stop", Rule.DescriptionIsSane, () => new("pair", "Two tiles.", PairLayout.Described.Parameters));
        yield return Described("a parameter without a summary", Rule.DescriptionIsSane, () => new("pair", "Two tiles", ParameterDefinition.Number("step", "", 26, Unit.Millimetre, 1, 36)));
        yield return Described("a description that counts", Rule.DescriptionIsSane, () => new("pair", $"Asked {++reads} times", PairLayout.Described.Parameters));
        yield return Described("a description that throws", Rule.DescriptionIsSane, () => throw new InvalidOperationException("lost for words"));
        yield return Described("a step without an end", Rule.ParameterHasARange, () => new("pair", "Two tiles", ParameterDefinition.Number("step", "Distance", 26, Unit.Millimetre, 1)));
        yield return Described("a count without an end", Rule.ParameterHasARange, () => new("pair", "Two tiles", ParameterDefinition.Number("step", "Distance", 26, Unit.Millimetre, 1, 36), ParameterDefinition.Count("more", "More of them", 2)));
        yield return Described("a distance without a unit", Rule.ParameterHasItsUnit, () => new("pair", "Two tiles", ParameterDefinition.Number("step", "Distance between the two", 26, Unit.None, 1, 36)));
        yield return Layout("a layout that never serves", Rule.DefaultsServe, (_, _) => throw new RefusalException("0 tiles fit.", null, "Ask another."));
        yield return Layout("a division by zero", Rule.NoOtherException, (tiles, request) => request.Format.Width < 10 ? throw new DivideByZeroException("0") : tiles);
        yield return Layout("an input exception", Rule.NoOtherException, (tiles, request) => request.Format.Width < 10 ? throw new InputException("0", "0", "0") : tiles);
        yield return Layout("a refusal without a remedy", Rule.RefusalSaysWhatToDo, (tiles, request) => request.Format.Width < 10 ? throw new RefusalException("10 mm are needed.") : tiles);
        yield return Layout("a refusal without a number", Rule.RefusalSaysWhatToDo, (tiles, request) => request.Format.Width < 10 ? throw new RefusalException("No.", null, "Ask for more.") : tiles);
        yield return Layout("a loop without an end", Rule.CallsEnd, (tiles, request) => request.Format.Width < 10 ? Asleep(tiles) : tiles, new() { Patience = Short });
        yield return Layout("a layout that counts its calls", Rule.SameRequestSameResult, (tiles, _) => [tiles[0] with { Id = "call-" + Interlocked.Increment(ref calls) }]);
        yield return Layout("a list that is shared between threads", Rule.SameRequestSameResult, (tiles, request) => Slowly(shared, tiles));
        yield return Layout("a layout that draws lots", Rule.SameRequestSameResult, (tiles, _) => [new(new(new(Random.Shared.NextDouble() / 1000, 0), tiles[0].Pose.Turn))]);
        yield return Layout("a tile at infinity", Rule.ResultIsFinite, (tiles, _) => [new(new(new(double.PositiveInfinity, 0)))]);
        yield return Layout("no tile", Rule.ResultIsFinite, (_, _) => []);
        yield return Layout("null", Rule.ResultIsFinite, (_, _) => null!);
        yield return Layout("a turn of 45 degrees", Rule.ResultIsFinite, (tiles, _) => [tiles[0] with { Pose = new(tiles[0].Pose.Centre, (Turn)45) }]);
        yield return Layout("two tiles of one name", Rule.NamesAreUnique, (tiles, _) => [tiles[0], tiles[1] with { Id = tiles[0].Id }]);
        yield return Layout("a tile outside the limits", Rule.LimitsAreRespected, (tiles, request) => [.. tiles, new(new(new(0, request.Limits.Bottom + 1), tiles[0].Pose.Turn))]);
        yield return Layout("a turn that the back does not offer", Rule.LimitsAreRespected, (tiles, _) => [.. tiles, new(new(PlanePoint.Origin, Turn.Quarter))]);
    }

    private static IEnumerable<(string, Rule, Func<Task<ConformanceReport>>)> Backs()
    {
        static (string, Rule, Func<Task<ConformanceReport>>) Geometry(string name, Rule rule, PlainSlide geometry) =>
            (name, rule, () => Task.FromResult(AdapterConformance.Check(geometry, GoodPartTests.Specimen, new() { Patience = Short })));

        static (string, Rule, Func<Task<ConformanceReport>>) Back(string name, Rule rule, SpoiltBack spoils) =>
            Geometry(name, rule, new PlainSlide { Spoil = back => spoils with { Good = back } });

        int poses = 0;
        yield return Geometry("a back that takes any specimen", Rule.BadSpecimensAreRefused, new PlainSlide { AcceptsAnything = true });
        yield return Geometry("a back that refuses all", Rule.DefaultsServe, new PlainSlide { Instead = _ => throw new InputException("No.", "back", "Give another.") });
        yield return Geometry("a back that throws", Rule.NoOtherException, new PlainSlide { Instead = _ => throw new InvalidCastException() });
        yield return Geometry("no back", Rule.ResultIsFinite, new PlainSlide { Instead = _ => null! });
        yield return Geometry("a back that is never done", Rule.CallsEnd, new PlainSlide { Instead = _ => Asleep<IBack>(null!) });
        yield return Geometry("a refusal without a remedy", Rule.RefusalSaysWhatToDo, new PlainSlide { Instead = _ => throw new InputException("No.") });
        yield return Back("an inverse that is 1e-8 off", Rule.InverseFindsThePose, new() { Solved = (_, wanted, solutions) => Moved(solutions, 1e-8, 0) });
        yield return Back("an inverse that gives up", Rule.InverseFindsThePose, new() { Solved = (_, wanted, solutions) => [.. solutions.Select(solution => solution with { Reason = "it is too hard" })] });
        yield return Back("a back that cannot be turned over and says it can", Rule.InverseFindsThePose, new());
        yield return Back("an error that is nothing", Rule.SolutionsAreTrue, new() { Solved = (_, _, solutions) => [.. solutions.Select(solution => solution with { Error = 0 })] });
        yield return Back("a pose that is not the setting's", Rule.SolutionsAreTrue, new() { Solved = (_, wanted, solutions) => [.. solutions.Select(solution => solution with { Pose = wanted })] });
        yield return Back("a solution between detents", Rule.SolutionsAreLegal, new() { Solved = (back, wanted, _) => [Set(back, wanted, [wanted.Centre.X, wanted.Centre.Y])] });
        yield return Back("no solution", Rule.SolutionsAreLegal, new() { Solved = (_, wanted, solutions) => wanted.Centre.Length > 1e4 ? [] : solutions });
        yield return Back("two solutions of one seat", Rule.SolutionsAreLegal, new() { Solved = (_, _, solutions) => [solutions[0], solutions[0]] });
        yield return Back("a turn that is not on offer", Rule.SolutionsAreLegal, new() { Solved = (_, _, solutions) => [solutions[0] with { Setting = solutions[0].Setting with { CameraTurn = Turn.ThreeQuarters } }] });
        yield return Back("always the first stop", Rule.SolutionsAreNearest, new() { Solved = (back, wanted, _) => [Set(back, wanted, [.. back.Axes.Select(axis => axis.Detents.Count > 0 ? axis.Detents[0] : axis.Minimum)])] });
        yield return Back("a miss without a reason", Rule.ReasonIsGiven, new() { Solved = (_, _, solutions) => [.. solutions.Select(solution => solution with { Reason = null })] });
        yield return Back("a reason without words", Rule.ReasonIsGiven, new() { Solved = (_, _, solutions) => [.. solutions.Select(solution => solution with { Reason = solution.Reason is null ? null : "no" })] });
        yield return Back("a pose that snaps to whole millimetres", Rule.PoseIsContinuous, new() { Posed = pose => pose with { Centre = new(Math.Round(pose.Centre.X * 100000) / 100000 + Math.Round(pose.Centre.X * 1e6) % 2, pose.Centre.Y) } });
        yield return Back("a pose between detents that is nowhere", Rule.PoseIsContinuous, new() { Posed = pose => pose.Centre.Y is -20 or 0 or 20 ? pose : pose with { Rotation = double.NaN } });
        yield return Back("a pose that counts", Rule.SameRequestSameResult, new() { Posed = pose => pose with { Rotation = Interlocked.Increment(ref poses) * 1e-9 } });
        yield return Back("a pose at infinity", Rule.ResultIsFinite, new() { Posed = pose => pose with { Centre = new(double.NaN, 0) } });
        yield return Back("any number of positions", Rule.ForeignSettingsAreRefused, new() { TakesAnySetting = true });
        yield return Back("a back whose limits are too narrow", Rule.LimitsAreRespected, new() { Narrow = true });
        yield return Back("a method that throws", Rule.NoOtherException, new() { Solved = (_, _, _) => throw new NotSupportedException() });
        yield return Back("a method that does not end", Rule.CallsEnd, new() { Solved = (_, _, solutions) => Asleep(solutions) });
        yield return Back("a cost of staying", Rule.CostsAreSane, new() { Charged = cost => cost + new MoveCost(0, 0, 1) });
        yield return Back("a negative cost", Rule.CostsAreSane, new() { Charged = cost => cost with { Travel = -cost.Travel } });
        yield return Back("a cost that grows with the square", Rule.CostsAreSane, new() { Charged = cost => cost with { Travel = cost.Travel * cost.Travel } });
        yield return Back("a negative tolerance", Rule.FactsOfTheBackAreSane, new() { Tolerance = -1 });
        yield return Back("a tolerance of nothing where the axes miss", Rule.FactsOfTheBackAreSane, new() { Tolerance = 0 });
        yield return Back("a depth that ends before it begins", Rule.FactsOfTheBackAreSane, new() { Depth = new(5, 4) });
        yield return Back("an opening of nothing", Rule.FactsOfTheBackAreSane, new() { Gap = new(0, 10) });
    }

    private static IEnumerable<(string, Rule, Func<Task<ConformanceReport>>)> Exports()
    {
        static (string, Rule, Func<Task<ConformanceReport>>) Export(string name, Rule rule, RowsExport target) =>
            (name, rule, () => ExportConformance.CheckAsync(target, new() { TallWidth = 400, Patience = TimeSpan.FromSeconds(5), CancellationPatience = TimeSpan.FromSeconds(1) }));

        yield return Export("a receipt with a wrong size", Rule.ReceiptIsTrue, new() { Spoil = (receipt, _) => new([receipt.Files[0] with { Bytes = 1 }]) });
        yield return Export("a receipt with capital letters", Rule.ReceiptIsTrue, new() { Spoil = (receipt, _) => new([receipt.Files[0] with { Sha256 = receipt.Files[0].Sha256.ToUpperInvariant() }]) });
        yield return Export("an empty receipt", Rule.ReceiptIsTrue, new() { Spoil = (_, _) => new([]) });
        yield return Export("a receipt that names a file twice", Rule.ReceiptIsTrue, new() { Spoil = (receipt, _) => new([receipt.Files[0], receipt.Files[0]]) });
        yield return Export("a receipt with a full path", Rule.ReceiptIsTrue, new() { Spoil = (receipt, request) => new([receipt.Files[0] with { Path = Path.Combine(request.Folder, receipt.Files[0].Path) }]) });
        yield return Export("a file that is not in the receipt", Rule.ReceiptIsTrue, new() { Before = request => File.WriteAllText(Path.Combine(request.Folder, "notes.txt"), "") });
        yield return Export("a file that is not there", Rule.ReceiptIsTrue, new() { Spoil = (receipt, _) => new([.. receipt.Files, new("gone.txt", 0, "")]) });
        yield return Export("a file beside the folder", Rule.FolderIsKept, new() { Before = request => File.WriteAllText(Path.Combine(request.Folder, "..", "log.txt"), "") });
        yield return Export("a changed file of the host's", Rule.FolderIsKept, new() { Before = request => File.AppendAllText(Path.Combine(request.Folder, "..", "neighbour.txt"), "!") });
        yield return Export("the whole picture at once", Rule.PictureIsReadInBlocks, new() { Rows = int.MaxValue / 2 });
        yield return Export("an export that hears nothing", Rule.CancellationIsHeard, new() { IsDeaf = true });
        yield return Export("an export that hears late", Rule.CancellationIsHeard, new() { HearsLate = TimeSpan.FromSeconds(1.2) });
        yield return Export("no progress", Rule.ProgressRises, new() { Reporting = _ => new Told(null, part => part) });
        yield return Export("progress that only ends", Rule.ProgressRises, new() { Reporting = progress => new Told(progress, part => part < 1 ? null : 1) });
        yield return Export("progress that falls", Rule.ProgressRises, new() { Reporting = progress => new Told(progress, part => part < 1 ? 1 - part : 1) });
        yield return Export("progress in percent", Rule.ProgressRises, new() { Reporting = progress => new Told(progress, part => 100 * part) });
        yield return Export("a picture that breaks off in silence", Rule.FaultOfThePictureIsTold, new() { HidesFaults = true });
        yield return Export("another exception", Rule.NoOtherException, new() { Before = _ => throw new IOException("disk full") });
        yield return Export("a refusal of the ordinary picture", Rule.DefaultsServe, new() { Before = _ => throw new RefusalException("0 px fit.", null, "Take another target.") });
        yield return Export("a refusal without a remedy", Rule.RefusalSaysWhatToDo, new() { Before = request => { if (request.Image.Width == 1600) return; throw new RefusalException("It does not fit."); } });
    }

    private static T Asleep<T>(T value)
    {
        Thread.Sleep(TimeSpan.FromSeconds(20));
        return value;
    }

    private static List<Tile> Slowly(List<Tile> shared, IReadOnlyList<Tile> tiles)
    {
        lock (shared)
            shared.Clear();
        Thread.Sleep(1);
        lock (shared)
        {
            shared.AddRange(tiles);
            return shared.Count == 2 ? [.. shared] : [shared[0]];
        }
    }

    private static IReadOnlyList<SettingSolution> Moved(IReadOnlyList<SettingSolution> solutions, double x, double y) =>
        [.. solutions.Select(solution => solution with { Pose = solution.Pose with { Centre = solution.Pose.Centre + new PlanePoint(x, y) } })];

    private static SettingSolution Set(IBack back, SensorPose wanted, double[] positions)
    {
        var setting = new Setting(positions, wanted.Turn);
        SensorPose pose = back.Pose(setting);
        double error = (pose.Centre - wanted.Centre).Length;
        return new(setting, pose, error, error > 1e-6 ? "it stands elsewhere" : null);
    }

    /// <summary>Cannot be made without an argument.</summary>
    public sealed class NeedyLayout(int springs) : PairLayout
    {
        public int Springs => springs;
    }

    private sealed class Told(IProgress<double>? progress, Func<double, double?> change) : IProgress<double>
    {
        public void Report(double value)
        {
            if (change(value) is { } changed)
                progress?.Report(changed);
        }
    }

    /// <summary>A good back, made worse.</summary>
    private sealed record SpoiltBack : IBack
    {
        public IBack Good { get; init; } = null!;
        public Func<SensorPose, SensorPose> Posed { get; init; } = pose => pose;
        public Func<IBack, SensorPose, IReadOnlyList<SettingSolution>, IReadOnlyList<SettingSolution>> Solved { get; init; } = (_, _, solutions) => solutions;
        public Func<MoveCost, MoveCost> Charged { get; init; } = cost => cost;
        public PlaneTolerance? Tolerance { get; init; }
        public LengthRange? Depth { get; init; }
        public PlaneSize? Gap { get; init; }
        public bool TakesAnySetting { get; init; }
        public bool Narrow { get; init; }

        public BackLimits Limits => Narrow ? new(0, 0, 0, 0, Good.Limits.Turns) : Good.Limits;
        public PlaneTolerance PositionTolerance => Tolerance ?? Good.PositionTolerance;
        public double AngularTolerance => Good.AngularTolerance;
        public LengthRange? AddedDepth => Depth ?? Good.AddedDepth;
        public PlaneSize? Opening => Gap ?? Good.Opening;
        public IReadOnlyList<AxisSpec> Axes => Good.Axes;

        public SensorPose Pose(Setting setting) => Posed(Good.Pose(TakesAnySetting ? setting with { Positions = [.. setting.Positions.Take(2)] } : setting));

        public IReadOnlyList<SettingSolution> Solve(SensorPose wanted) => Solved(Good, wanted, Good.Solve(wanted));

        public MoveCost Cost(Setting from, Setting to) => Charged(Good.Cost(from, to));
    }
}
