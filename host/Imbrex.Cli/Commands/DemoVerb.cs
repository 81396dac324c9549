using System.CommandLine;
using Imbrex.Cli.Demo;
using Imbrex.Engine.Documents;

namespace Imbrex.Cli.Commands;

/// <summary>Shows the whole job.</summary>
internal sealed class DemoVerb() : Verb("demo", "Plans, shoots with a simulated camera, merges and exports an invented picture of a slate quarry",
    "imbrex demo", "imbrex demo --out quarry")
{
    private const string UsualFolder = "imbrex-demo";

    private readonly Option<string?> _out = new("--out") { HelpName = "FOLDER", Description = $"Folder for everything; without it, {UsualFolder}, or the first of {UsualFolder}-2, -3 … that is free" };
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override void Define(Command command)
    {
        command.Add(_out);
        command.Add(_force);
    }

    protected override async Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        string folder = given.GetValue(_out) ?? FreeFolder();
        DemoResult result = await new DemoRun(context, folder, given.GetValue(_force)).RunAsync(cancellation);
        MosaicDocument mosaic = result.Merge.Mosaic;
        context.Terminal.Say(result.Verdict.Summary);
        if (!context.Terminal.Json)
            context.Terminal.Tables.Write(result.Table.ToTable());
        context.Terminal.Say(FormattableString.Invariant(
            $"Placed within {result.Table.RmsPx:0.0000} px (root mean square) of the truth. {mosaic.WidthPx} x {mosaic.HeightPx} px, {mosaic.WidthPx * (double)mosaic.HeightPx / 1e6:0.0} megapixels."));
        if (!context.Terminal.Json)
            context.Terminal.Tables.Write(MergeVerb.StageTable(result.Stages));
        context.Terminal.Say(FormattableString.Invariant($"Together {result.Stages.Sum(stage => stage.Seconds):0.0} s. Files:"));
        VerbResult merge = MergeVerb.Describe(result.Merge);
        string[] files = [result.Report, .. merge.Files, .. result.Access];
        foreach (string file in files)
            context.Terminal.Say($"  {file}");
        return merge with { Files = files, Data = result.Table };
    }

    private static string FreeFolder() =>
        Enumerable.Range(1, int.MaxValue).Select(n => n == 1 ? UsualFolder : $"{UsualFolder}-{n}").First(name => !Path.Exists(name));
}
