using System.CommandLine;
using Imbrex.Cli.Arguments;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Hosting.Planning;

namespace Imbrex.Cli.Commands;

/// <summary>Proves a layout or a plan.</summary>
internal sealed class CheckVerb() : Verb("check", "Proves that a layout or a plan can be reached, covers the format, overlaps everywhere, and has light and focus",
    "imbrex check regular-grid --sensor 36x24/6000x4000 --format 90x44 --set columns=3 --set rows=2 --set step-x=27 --set step-y=20 --tolerance 0",
    "imbrex check scripts/layouts/uneven-detents.csx --kit scripts/kits/filed-stops.json --format 114x41",
    "imbrex check fewest-frames --kit scripts/kits/rail-with-lens.json --object 600x420 --ppi 400 --aperture 16",
    "imbrex check plan.json --aperture 16 --focus-distance 5m --rise 10 --mover walkers --seconds 0.5")
{
    private readonly Argument<string> _layout = new("LAYOUT") { Description = "Name of a layout, a layout script (.csx), or a plan (.json)" };
    private readonly PlanningOptions _options = new();
    private readonly Option<string?> _svg = new("--svg") { HelpName = "FILE", Description = "Draw the tiles, what they cover and where they fail" };
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override bool ReadsPictures => false;

    protected override void Define(Command command)
    {
        command.Add(_layout);
        _options.AddTo(command);
        command.Add(_svg);
        command.Add(_force);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string layout = given.GetRequiredValue(_layout);
        string? svg = given.GetValue(_svg);
        if (svg is not null)
            OutputFile.RefuseExisting(svg, given.GetValue(_force));
        (PlanDocument? plan, VerdictDocument verdict) = Judge(given, layout, context);
        VerdictPrinter.Print(verdict, context.Terminal);
        var files = new List<string>();
        if (svg is not null && plan is not null)
        {
            OutputFile.Write(svg, PlanDrawing.Svg(plan, verdict));
            files.Add(svg);
        }
        return Task.FromResult(new VerbResult(verdict.Accepted ? ExitCodes.Done : ExitCodes.Refused)
        {
            Verdict = verdict.Accepted ? "accepted" : "refused",
            Findings = VerdictPrinter.Findings(verdict, context.Terminal),
            Files = files,
            Data = verdict,
        });
    }

    private (PlanDocument?, VerdictDocument) Judge(ParseResult given, string layout, CommandContext context)
    {
        var planner = new KitPlanner(context.Catalogue);
        if (!layout.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
        {
            PlanResult result = planner.Plan(_options.Wish(given, layout));
            return (result.Plan, result.Verdict);
        }
        PlanDocument plan = KitFiles.ReadPlan(layout);
        plan = plan with { Picture = _options.Picture(given, plan.Picture) };
        Tolerance? tolerance = _options.Tolerance(given);
        return (plan, planner.Judge(plan, _options.Overlap(given), tolerance?.Position, tolerance?.Angle));
    }
}
