using System.CommandLine;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Hosting.Planning;
using Imbrex.Sdk;

namespace Imbrex.Cli.Commands;

/// <summary>Makes a plan, if the layout is accepted.</summary>
internal sealed class PlanVerb() : Verb("plan", "Proves a layout and writes the plan, in shooting order, and its drawing",
    "imbrex plan regular-grid --kit scripts/kits/quarry-rail.json --format 88x42 --set columns=3 --set rows=2 --set step-x=27 --set step-y=20 --out quarry/plan.json")
{
    private readonly Argument<string> _layout = new("LAYOUT") { Description = "Name of a layout, or a layout script (.csx)" };
    private readonly PlanningOptions _options = new();
    private readonly Option<string> _out = CommonOptions.Out("FILE", "The plan to write (.json); its drawing goes beside it (.svg)");
    private readonly CardOptions _card = new();
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        _out.Required = true;
        command.Add(_layout);
        _options.AddTo(command);
        command.Add(_out);
        _card.AddTo(command);
        command.Add(_force);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string planFile = given.GetRequiredValue(_out), drawing = Path.ChangeExtension(planFile, ".svg");
        if (!planFile.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
            throw new InputException($"--out is '{planFile}', which does not end in .json.", "--out", "Name the plan's file, such as quarry/plan.json.");
        OutputFile.RefuseExisting(planFile, given.GetValue(_force));
        OutputFile.RefuseExisting(drawing, given.GetValue(_force));
        IReadOnlyList<string> papers = _card.Files(given, given.GetValue(_force));
        PlanResult result = new KitPlanner(context.Catalogue).Plan(_options.Wish(given, given.GetRequiredValue(_layout)));
        VerdictPrinter.Print(result.Verdict, context.Terminal);
        if (!result.Verdict.Accepted)
            return Task.FromResult(new VerbResult(ExitCodes.Refused)
            {
                Verdict = "refused",
                Findings = VerdictPrinter.Findings(result.Verdict, context.Terminal),
                Data = result.Verdict,
            });
        IReadOnlyList<Printed> printed = _card.Print(given, result);
        Write(planFile, result);
        foreach (Printed paper in printed)
            paper.Save();
        context.Terminal.Say($"Plan: {planFile}");
        context.Terminal.Say($"Drawing: {drawing}");
        foreach (Printed paper in printed)
            context.Terminal.Say(paper.Said);
        return Task.FromResult(new VerbResult { Verdict = "accepted", Findings = VerdictPrinter.Findings(result.Verdict, context.Terminal), Files = [planFile, drawing, .. papers], Data = result.Verdict });
    }

    /// <summary>Writes an accepted plan and its drawing.</summary>
    internal static void Write(string planFile, PlanResult result)
    {
        OutputFile.MakeFolder(Path.GetDirectoryName(Path.GetFullPath(planFile))!);
        OutputFile.Write(Path.ChangeExtension(planFile, ".svg"), PlanDrawing.Svg(result.Plan!, result.Verdict));
        OutputFile.Write(planFile, KitFiles.ToBytes(result.Plan!, planFile));
    }
}
