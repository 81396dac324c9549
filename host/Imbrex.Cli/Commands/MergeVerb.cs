using System.CommandLine;
using Imbrex.Cli.Arguments;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Merging;
using Imbrex.Sdk;
using Spectre.Console;

namespace Imbrex.Cli.Commands;

/// <summary>Merges a take.</summary>
internal sealed class MergeVerb() : Verb("merge", "Merges the frames of a take into one 16-bit master, with mosaic.json and report.html beside it",
    "imbrex merge --plan plan.json --frames frames --out merged",
    "imbrex merge --plan plan.json --frames frames --out merged --orientation t3=180",
    "imbrex merge --plan plan.json --frames frames --out merged --per-tile 3 --series median",
    "imbrex merge --again merged/mosaic.json --out merged-again")
{
    private readonly Option<string?> _plan = new("--plan") { HelpName = "FILE", Description = "The plan, made by imbrex plan or by hand" };
    private readonly Option<string?> _again = new("--again")
    {
        HelpName = "MOSAIC",
        Description = "Make the merge of a mosaic.json again: its plan, frames and options, instead of --plan",
    };
    private readonly Option<string?> _frames = new("--frames") { HelpName = "FOLDER", Description = "Folder of the frames; without it, the plan's own folder" };
    private readonly Option<string> _out = CommonOptions.Out("FOLDER", "Folder for master.tif, mosaic.json and report.html");
    private readonly Option<string?> _by = new("--by")
    {
        HelpName = "name|time",
        Description = "Where the plan names no files: take the frames by file name, or by the time they were taken",
    };
    private readonly Option<Tolerance?> _tolerance = CommonOptions.Tolerance("How far tiles may lie from the plan (mm) and be turned from it (degrees); without it what the kit says, or 0.5,0.5");
    private readonly Option<string[]> _orientation = new("--orientation")
    {
        HelpName = "[TILE=]DEG",
        Description = "Turn all stored frames, or one tile's, by 0, 90, 180 or 270 degrees clockwise instead of finding out; may be repeated",
        Arity = ArgumentArity.OneOrMore,
    };
    private readonly Option<int> _perTile = new("--per-tile")
    {
        HelpName = "N",
        Description = "Where the plan names no files: every tile was shot N times in a row",
        DefaultValueFactory = _ => 1,
    };
    private readonly Option<string?> _series = new("--series")
    {
        HelpName = "median|mean|brackets",
        Description = "How several frames of one tile become one: median against walkers, mean against noise, brackets for more range of light; without it, what the frames suggest",
    };
    private readonly Option<string[]> _without = new("--without")
    {
        HelpName = "TILE",
        Description = "A tile that was not shot, or whose frame is not to be used; may be repeated",
        Arity = ArgumentArity.OneOrMore,
    };
    private readonly Option<string?> _holes = new("--holes")
    {
        HelpName = "transparent|refuse",
        Description = "What to do where no frame shows anything: leave it transparent (the default), or write nothing",
    };
    private readonly Option<string?> _crop = new("--crop")
    {
        HelpName = "format|full|all",
        Description = "What becomes the picture: the plan's format (the default), the largest rectangle without holes, or all that the frames show",
    };
    private readonly Option<bool> _sameExposure = new("--same-exposure")
    {
        Description = "All frames were exposed alike by hand: change none's exposure, and let even ramps of light over the sensor be found",
    };
    private readonly Option<string?> _falloff = new("--falloff")
    {
        HelpName = "keep|remove",
        Description = "What becomes of the light that the lens loses away from its axis: keep it (the default), or take it out by the law of cos^4, with the plan's movements",
    };
    private readonly Option<double?> _imageDistance = CommonOptions.Length("--image-distance",
        "For --falloff remove: from the lens's exit pupil to the image plane; without it what the kit's lens and the plan's focus say");
    private readonly Option<string?> _flat = new("--flat")
    {
        HelpName = "FOLDER|FILE",
        Description = "Flat frames: one for all tiles, or a folder of one for each, named as the tiles' frames or in the plan's order",
    };
    private readonly Option<string?> _dark = new("--dark") { HelpName = "FILE", Description = "A dark frame, taken off frames and flat frames" };
    private readonly Option<bool> _force = CommonOptions.Force();

    protected override void Define(Command command)
    {
        _out.Required = true;
        command.Add(_plan);
        command.Add(_again);
        command.Add(_frames);
        command.Add(_out);
        command.Add(_by);
        command.Add(_tolerance);
        command.Add(_orientation);
        command.Add(_perTile);
        command.Add(_series);
        command.Add(_without);
        command.Add(_holes);
        command.Add(_crop);
        command.Add(_sameExposure);
        command.Add(_falloff);
        command.Add(_imageDistance);
        command.Add(_flat);
        command.Add(_dark);
        command.Add(_force);
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        MergeRequest request = (given.GetValue(_again) is { } mosaic ? Again(given, mosaic) : ByPlan(given)) with
        {
            Force = given.GetValue(_force),
            Workers = Environment.ProcessorCount,
            ProgramVersion = CommandLine.ProgramVersion,
        };
        MergeResult result = MergeRunner.Run(request, context.Terminal.Progress, TimeProvider.System, cancellation);
        Print(result, context);
        return Task.FromResult(Describe(result));
    }

    private MergeRequest ByPlan(ParseResult given)
    {
        string planFile = given.GetValue(_plan) ?? throw new InputException("There is nothing to merge.", "--plan", "Give --plan FILE, or --again MOSAIC to make a merge again.");
        PlanDocument plan = JsonDocuments.Read<PlanDocument>(planFile, PlanDocument.SchemaName);
        Tolerance? tolerance = given.GetValue(_tolerance);
        return new()
        {
            Plan = plan,
            FramesFolder = given.GetValue(_frames) ?? Path.GetDirectoryName(Path.GetFullPath(planFile))!,
            OutputFolder = given.GetRequiredValue(_out),
            ToleranceMm = tolerance?.Position,
            AngularToleranceDeg = tolerance?.Angle,
            Matching = new() { Order = ReadOrder(given.GetValue(_by)), PerTile = ReadPerTile(given.GetValue(_perTile)), Without = given.GetValue(_without) ?? [] },
            Orientation = ReadOrientation(given.GetValue(_orientation) ?? [], plan),
            Series = MergeWords.Series(given.GetValue(_series), "--series"),
            Holes = MergeWords.Holes(given.GetValue(_holes), "--holes"),
            Crop = MergeWords.Crop(given.GetValue(_crop), "--crop"),
            SameExposure = given.GetValue(_sameExposure),
            Falloff = MergeWords.Falloff(given.GetValue(_falloff), "--falloff"),
            ImageDistanceMm = given.GetValue(_imageDistance),
            Flats = given.GetValue(_flat) is { } flat ? FlatMatching.Match(plan, flat, given.GetValue(_without)) : new Dictionary<string, string>(),
            Dark = given.GetValue(_dark),
        };
    }

    // Everything is settled by the document: another option would make another picture.
    private MergeRequest Again(ParseResult given, string mosaic)
    {
        Option[] settled = [_plan, _frames, _by, _tolerance, _orientation, _perTile, _series, _without, _holes, _crop, _sameExposure, _falloff, _imageDistance, _flat, _dark];
        if (settled.FirstOrDefault(option => given.GetResult(option) is { Implicit: false }) is { } other)
            throw new InputException($"{other.Name} does not go with --again, which takes everything from the mosaic.", other.Name, "Leave it out.");
        return Remake.Of(mosaic, given.GetRequiredValue(_out));
    }

    private static int ReadPerTile(int count) => count is >= 1 and <= TilePart.MostFiles
        ? count
        : throw new InputException($"--per-tile is {count}.", "--per-tile", $"Give 1 to {TilePart.MostFiles}.");

    /// <summary>What a merge means for the exit code and for machines.</summary>
    internal static VerbResult Describe(MergeResult result)
    {
        bool incomplete = result.Mosaic.Findings.Any(finding => IsIncomplete(finding.Kind));
        string folder = Path.GetDirectoryName(result.MosaicFile)!;
        return new(incomplete ? ExitCodes.Incomplete : ExitCodes.Done)
        {
            Findings = [.. result.Mosaic.Findings.Select(f => new Finding(f.Kind, IsIncomplete(f.Kind) || f.Kind is "plan" or "wrong-pair" or "soft" ? "warning" : "note", f.Text, f.Tile))],
            Files = [result.MasterFile, Path.Combine(folder, MergeRunner.ReportName), result.MosaicFile],
            Data = result.Mosaic,
        };
    }

    // What leaves the picture other than it was wanted; the rest is told for the record.
    private static bool IsIncomplete(string kind) => kind is "hole" or "missing" or "untied" or "islands" or "foreign" or "doubled";

    private static void Print(MergeResult result, CommandContext context)
    {
        MosaicDocument mosaic = result.Mosaic;
        context.Terminal.Say(FormattableString.Invariant(
            $"{mosaic.WidthPx} x {mosaic.HeightPx} px ({mosaic.WidthPx * (double)mosaic.HeightPx / 1e6:0.0} MP) from {mosaic.Tiles.Count} tiles"));
        if (!context.Terminal.Json)
            context.Terminal.Tables.Write(StageTable(result.Stages));
        context.Terminal.Say($"Master: {result.MasterFile}");
        context.Terminal.Say($"Report: {Path.Combine(Path.GetDirectoryName(result.MosaicFile)!, MergeRunner.ReportName)}");
    }

    internal static Table StageTable(IReadOnlyList<StageTime> stages)
    {
        var table = new Table().Border(TableBorder.Simple).AddColumn("stage").AddColumn(new TableColumn("seconds").RightAligned());
        foreach (StageTime stage in stages)
            table.AddRow(stage.Stage, FormattableString.Invariant($"{stage.Seconds:0.00}"));
        return table;
    }

    private static FrameOrder ReadOrder(string? word) => word switch
    {
        null or "name" => FrameOrder.ByName,
        "time" => FrameOrder.ByTime,
        _ => throw new InputException($"--by is '{word}'.", "--by", "Give name or time."),
    };

    private static Dictionary<string, int> ReadOrientation(string[] words, PlanDocument plan)
    {
        var turns = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (string word in words)
        {
            int at = word.LastIndexOf('=');
            string tile = at < 0 ? "" : word[..at], degrees = word[(at + 1)..];
            if (degrees is not ("0" or "90" or "180" or "270"))
                throw new InputException($"--orientation is '{word}'.", "--orientation", "Give 0, 90, 180 or 270, or a tile and one of these, such as t3=180.");
            if (tile.Length > 0 && plan.Tiles.All(t => t.Id != tile))
                throw new InputException($"The plan has no tile '{tile}'.", "--orientation",
                    Sdk.Parameters.NearestWord.Suggest(tile, plan.Tiles.Select(t => t.Id)) ?? "Name one of the plan's tiles.");
            if (!turns.TryAdd(tile, int.Parse(degrees, System.Globalization.CultureInfo.InvariantCulture)))
                throw new InputException($"--orientation is given twice for {(tile.Length == 0 ? "all tiles" : tile)}.", "--orientation", "Give it once.");
        }
        return turns;
    }
}
