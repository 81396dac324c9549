using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>What holds for the kinematics of one specimen.</summary>
internal sealed class BackTrial(IBack back, BackSpec spec, Func<Setting, bool> hasSetting, string with, FindingList findings)
{
    // mm and degrees.
    private const double Accuracy = 1e-9;

    // What rounding may carry a pose beyond the limits, mm.
    private const double Rounding = 1e-6;

    // Far beyond any travel, mm.
    private const double OutOfReach = 1e5;

    // Out of a step of this size no jump may come.
    private const double SmallStep = 1e-6;
    private const double Jump = 0.01;

    private const int ShortestReason = 8;

    public void CheckFacts()
    {
        PlaneTolerance tolerance = back.PositionTolerance;
        Require(IsLength(tolerance.X) && IsLength(tolerance.Y) && IsLength(back.AngularTolerance), ConformanceRule.FactsOfTheBackAreSane,
            $"The tolerance is {tolerance.X} and {tolerance.Y} mm, {back.AngularTolerance} degrees.", "Give finite numbers of at least 0.");
        Require(tolerance.Worst > 0 || spec.Axes.All(axis => axis.Tolerance == 0), ConformanceRule.FactsOfTheBackAreSane, "The axes may miss, and the back's tolerance is nothing.",
            "Carry the axes' tolerances to the image plane.");
        Require(back.AddedDepth is not { } depth || (double.IsFinite(depth.Least) && double.IsFinite(depth.Most) && depth.Least <= depth.Most), ConformanceRule.FactsOfTheBackAreSane,
            $"The added depth is {back.AddedDepth}.", "Give a finite range, or null where it is not known.");
        Require(back.Opening is not { } opening || (opening.Width > 0 && opening.Height > 0), ConformanceRule.FactsOfTheBackAreSane, $"The opening is {back.Opening}.", "Give a size above 0, or null.");
        Require(back.Axes is not null && back.Axes.Count == spec.Axes.Count, ConformanceRule.FactsOfTheBackAreSane, $"The back tells of {back.Axes?.Count} axes, the kit of {spec.Axes.Count}.", "Hand the specimen's axes on.");
        Outcome<SensorPose> foreign = Call.Caught(() => back.Pose(new([.. Enumerable.Repeat(0.0, spec.Axes.Count + 1)], spec.Turns[0].Turn, spec.Seats[0].BackTurned)));
        Require(foreign is Outcome<SensorPose>.Thrown { Exception: ArgumentException }, ConformanceRule.ForeignSettingsAreRefused, "A setting with one position too many is accepted.", "Throw an ArgumentException.");
    }

    public void CheckSetting(Setting setting, IReadOnlyList<Setting> others, Random random)
    {
        SensorPose pose = back.Pose(setting);
        if (!IsFinite(pose))
        {
            Require(false, ConformanceRule.ResultIsFinite, $"The pose of {InWords(setting)} is {pose}.", "Look for a division by zero.");
            return;
        }
        Require(pose.Centre.X >= back.Limits.Left - Rounding && pose.Centre.X <= back.Limits.Right + Rounding && pose.Centre.Y >= back.Limits.Top - Rounding && pose.Centre.Y <= back.Limits.Bottom + Rounding
            && back.Limits.Turns.Contains(pose.Turn), ConformanceRule.LimitsAreRespected, $"The pose of {InWords(setting)} lies outside the back's own limits.", "Let Limits hold every pose, turned-over ones included.");
        CheckInverse(setting, pose);
        CheckContinuity(setting, random);
        var wanted = new SensorPose(new(100 * (random.NextDouble() - 0.5), 100 * (random.NextDouble() - 0.5)), Turns.All[random.Next(4)]);
        CheckSolutions(wanted, others, mustFail: false);
        CheckSolutions(new(new PlanePoint(OutOfReach, 0).Rotated(360 * random.NextDouble()), wanted.Turn), others, mustFail: true);
    }

    public void CheckCosts(IReadOnlyList<Setting> settings)
    {
        for (int i = 0; i + 2 < settings.Count; i++)
        {
            (Setting a, Setting b, Setting c) = (settings[i], settings[i + 1], settings[i + 2]);
            MoveCost direct = back.Cost(a, c), detour = back.Cost(a, b) + back.Cost(b, c);
            const string remedy = "Count what is done by hand between the two settings: times the back is turned over, times the body is turned, and the path of the slides.";
            Require(back.Cost(a, a) == default, ConformanceRule.CostsAreSane, $"To stay at {InWords(a)} costs {back.Cost(a, a)}.", remedy);
            Require(double.IsFinite(direct.Travel) && direct is { BackTurns: >= 0, CameraTurns: >= 0, Travel: >= 0 }, ConformanceRule.CostsAreSane, $"From {InWords(a)} to {InWords(c)} costs {direct}.", remedy);
            Require(direct.BackTurns <= detour.BackTurns && direct.CameraTurns <= detour.CameraTurns && direct.Travel <= detour.Travel + Rounding, ConformanceRule.CostsAreSane,
                $"From {InWords(a)} to {InWords(c)} costs {direct}, and by way of {InWords(b)} less: {detour}.", remedy);
        }
    }

    public void CheckRepeats(IReadOnlyList<Setting> settings, int threads)
    {
        (SensorPose Pose, SettingSolution Best)[] first = [.. settings.Select(Ask)];
        var again = new (SensorPose Pose, SettingSolution Best)[settings.Count];
        Parallel.For(0, settings.Count, new ParallelOptions { MaxDegreeOfParallelism = threads }, i => again[i] = Ask(settings[i]));
        for (int i = 0; i < settings.Count; i++)
        {
            Require(first[i].Pose == again[i].Pose && first[i].Best == again[i].Best, ConformanceRule.SameRequestSameResult,
                $"Asked on {threads} threads at once, {InWords(settings[i])} gives something else.", "Keep nothing between calls: a back is immutable.");
        }
    }

    public Setting AnySetting(Random random, bool atEnds) => new(
        [.. spec.Axes.Select(axis => Position(axis, atEnds ? random.Next(2) : random.NextDouble()))],
        spec.Turns[random.Next(spec.Turns.Count)].Turn, spec.Seats[random.Next(spec.Seats.Count)].BackTurned);

    private (SensorPose Pose, SettingSolution Best) Ask(Setting setting)
    {
        SensorPose pose = back.Pose(setting);
        return (pose, back.Solve(pose)[0]);
    }

    private void CheckInverse(Setting setting, SensorPose pose)
    {
        SettingSolution? same = back.Solve(pose).FirstOrDefault(solution => solution.Setting.BackTurned == setting.BackTurned);
        bool found = same is not null && (same.Pose.Centre - pose.Centre).Length <= Accuracy && Skew(same.Pose, pose) <= Accuracy;
        Require(found && same!.IsReached, ConformanceRule.InverseFindsThePose,
            $"The pose of {InWords(setting)} is {InWords(pose)}, and solving that gives {(same is null ? "nothing for its seat" : $"{InWords(same.Pose)}{(same.IsReached ? "" : ", out of reach: " + same.Reason)}")}.",
            "Solve must undo Pose to 1e-9 mm and degrees, offsets and angle errors of turn and seat included.");
    }

    private void CheckSolutions(SensorPose wanted, IReadOnlyList<Setting> others, bool mustFail)
    {
        IReadOnlyList<SettingSolution>? solutions = back.Solve(wanted);
        bool some = solutions is { Count: > 0 } && solutions.Select(solution => solution.Setting.BackTurned).Distinct().Count() == solutions.Count;
        Require(some, ConformanceRule.SolutionsAreLegal, $"{InWords(wanted)} has {solutions?.Count.ToString() ?? "no"} solutions.", "Give one for each seat of the back, the nearest setting where the pose is out of reach.");
        if (!some)
            return;
        Require(solutions![0].IsReached || !solutions.Any(solution => solution.IsReached), ConformanceRule.SolutionsAreLegal, $"The first solution of {InWords(wanted)} is out of reach and a later one is not.", "Put the nearest first.");
        foreach (SettingSolution solution in solutions)
        {
            CheckLegal(solution.Setting, wanted);
            CheckTrue(solution, wanted);
            CheckNearest(solution, wanted, others);
            bool told = solution.IsReached ? !mustFail : solution.Reason!.Length >= ShortestReason;
            Require(told, ConformanceRule.ReasonIsGiven, $"{InWords(wanted)} is {solution.Error:0.###} mm out of reach, and the reason is '{solution.Reason}'.", "Say in words what is short: travel, a stop, a turn. The user reads it.");
        }
    }

    private void CheckLegal(Setting setting, SensorPose wanted)
    {
        bool legal = setting.Positions.Count == spec.Axes.Count && spec.Axes.Zip(setting.Positions, IsLegal).All(yes => yes)
            && spec.Turns.Any(turn => turn.Turn == setting.CameraTurn) && spec.Seats.Any(seat => seat.BackTurned == setting.BackTurned) && hasSetting(setting);
        Require(legal, ConformanceRule.SolutionsAreLegal, $"The solution of {InWords(wanted)} is {InWords(setting)}, which this back cannot be set to.", "Keep within travel, take a detent where there are any, and a turn and a seat on offer.");
    }

    private void CheckTrue(SettingSolution solution, SensorPose wanted)
    {
        Outcome<SensorPose> outcome = Call.Caught(() => back.Pose(solution.Setting));
        double error = (solution.Pose.Centre - wanted.Centre).Length;
        bool isTrue = outcome is Outcome<SensorPose>.Result { Value: var pose } && (pose.Centre - solution.Pose.Centre).Length <= Accuracy && Skew(pose, solution.Pose) <= Accuracy
            && Math.Abs(error - solution.Error) <= Accuracy * Math.Max(1, error);
        Require(isTrue, ConformanceRule.SolutionsAreTrue, $"The solution of {InWords(wanted)} says {InWords(solution.Pose)} and {solution.Error} mm of error; its setting {InWords(solution.Setting)} gives something else.",
            "Take pose and error from the setting that is returned.");
    }

    private void CheckNearest(SettingSolution solution, SensorPose wanted, IReadOnlyList<Setting> others)
    {
        foreach (Setting other in others)
        {
            Setting rival = solution.Setting with { Positions = other.Positions };
            if (!hasSetting(rival))
                continue;
            Outcome<SensorPose> outcome = Call.Caught(() => back.Pose(rival));
            bool nearer = outcome is Outcome<SensorPose>.Result { Value: var pose } && (pose.Centre - wanted.Centre).Length < solution.Error - Accuracy * Math.Max(1, solution.Error);
            Require(!nearer, ConformanceRule.SolutionsAreNearest, $"The solution of {InWords(wanted)} misses by {solution.Error:0.######} mm, and {InWords(rival)} by less.", "Look for the nearest stop of all.");
        }
    }

    private void CheckContinuity(Setting setting, Random random)
    {
        for (int i = 0; i < spec.Axes.Count; i++)
        {
            AxisSpec axis = spec.Axes[i];
            double at = axis.Minimum + random.NextDouble() * (axis.Maximum - axis.Minimum);
            SensorPose here = back.Pose(With(setting, i, at)), there = back.Pose(With(setting, i, at + SmallStep));
            bool smooth = IsFinite(here) && IsFinite(there) && (here.Centre - there.Centre).Length < Jump && Skew(here, there) < Jump;
            Require(smooth, ConformanceRule.PoseIsContinuous, $"Between detents, at {InWords(With(setting, i, at))}, the pose jumps or is not finite.", "Compute the pose from the position itself, not from the nearest detent: the host follows the sensor from stop to stop.");
        }
    }

    private static Setting With(Setting setting, int axis, double position) => setting with { Positions = [.. setting.Positions.Select((old, i) => i == axis ? position : old)] };

    private void Require(bool holds, ConformanceRule rule, string what, string remedy) => findings.Require(holds, rule, what, with, remedy);

    private static double Position(AxisSpec axis, double part) => axis.Detents.Count > 0
        ? axis.Detents[Math.Min(axis.Detents.Count - 1, (int)(part * axis.Detents.Count))]
        : Math.Clamp(axis.Minimum + part * (axis.Maximum - axis.Minimum), axis.Minimum, axis.Maximum);

    private static bool IsLegal(AxisSpec axis, double position) => axis.Detents.Count > 0 ? axis.Detents.Contains(position) : position >= axis.Minimum && position <= axis.Maximum;

    private static bool IsLength(double value) => double.IsFinite(value) && value >= 0;

    private static bool IsFinite(SensorPose pose) => double.IsFinite(pose.Centre.X) && double.IsFinite(pose.Centre.Y) && double.IsFinite(pose.Rotation) && Enum.IsDefined(pose.Turn);

    private static double Skew(SensorPose a, SensorPose b) => Math.Abs(Angles.Wrap(a.TotalRotation - b.TotalRotation));

    private static string InWords(Setting setting) =>
        $"({string.Join(", ", setting.Positions.Select(position => FormattableString.Invariant($"{position:0.######}")))}; turn {(int)setting.CameraTurn}{(setting.BackTurned ? ", turned over" : "")})";

    private static string InWords(SensorPose pose) => FormattableString.Invariant($"x {pose.Centre.X:0.######}, y {pose.Centre.Y:0.######}, {pose.TotalRotation:0.######} degrees");
}
