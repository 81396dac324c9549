// export-takes: merges every take below --in and delivers a copy of each below --out. Run it again after new takes have come in,
// or after it was interrupted: what is done already is skipped.
//
//     imbrex run scripts/batch/export-takes.csx --in takes --out delivered
//     imbrex run scripts/batch/export-takes.csx --in takes --out delivered target=tiff-master
//     imbrex run scripts/batch/export-takes.csx --in takes --out delivered layout=regular-grid format=88x42 layout.columns=3
//
// A take is a folder with a plan.json and its frames, beside it or in a folder called frames. A folder with a kit.json and no
// plan.json is planned first if layout and format are given, with layout.NAME=VALUE for the layout's own parameters. One bad take
// does not stop the others: it is named at the end, and the exit code is then 3.
//
// A batch script runs with your own rights. Read a stranger's before you run it.

var target = Arguments.GetValueOrDefault("target", "jpeg-access");
var failed = new List<string>();

if (Arguments.TryGetValue("layout", out var layout))
    foreach (var kit in Directory.EnumerateFiles(Input, "kit.json", SearchOption.AllDirectories).Order())
        if (!File.Exists(Path.Combine(Path.GetDirectoryName(kit), "plan.json")))
            await Attempt(kit, () => PlanAsync(new BatchPlanRequest(kit, layout, FormatArgument(), LayoutParameters()), Path.GetDirectoryName(kit)));

var takes = FindTakes(Input);
Log($"{Counted(takes.Count, "take")} below {Input}");

var done = 0;
foreach (var take in takes)
{
    Progress((double)done++ / takes.Count, take.Name);

    // The folders below --out mirror those below --in, so that two takes of one name stay apart.
    var folder = Path.Combine(Output, Path.GetRelativePath(Input, Path.GetDirectoryName(take.PlanFile)));
    await Attempt(take.PlanFile, async () =>
    {
        var mosaic = await MergeAsync(take, Path.Combine(folder, "mosaic"));
        foreach (var finding in mosaic.Findings)
            Log($"{take.Name}: {finding}");
        var receipt = await ExportAsync(mosaic, target, Path.Combine(folder, target));
        Log($"{take.Name}: {Counted(receipt.Files.Count, "file")}, {receipt.Files.Sum(file => file.Bytes) / 1e6:0.0} MB");
    });
}
Progress(1, "takes");

foreach (var failure in failed)
    Log($"left out: {failure}");

async Task Attempt(string what, Func<Task> work)
{
    try
    {
        await work();
    }
    catch (ImbrexException e)
    {
        failed.Add($"{Path.GetRelativePath(Input, what)}: {e.Message} {e.Remedy}");
    }
}

string Counted(int count, string thing) => count == 1 ? $"1 {thing}" : $"{count} {thing}s";

Dictionary<string, string> LayoutParameters() => Arguments
    .Where(argument => argument.Key.StartsWith("layout."))
    .ToDictionary(argument => argument.Key["layout.".Length..], argument => argument.Value);

PlaneSize FormatArgument()
{
    var sides = Arguments.GetValueOrDefault("format", "").Split('x');
    return sides.Length == 2 && Side(sides[0], out var width) && Side(sides[1], out var height)
        ? new PlaneSize(width, height)
        : throw new InputException("Planning needs a format.", "format", "Give width and height in millimetres: format=90x44.");
}

// A decimal point, whatever the language of the system; a comma is no thousands sign here.
bool Side(string text, out double side) =>
    double.TryParse(text, System.Globalization.NumberStyles.Float, System.Globalization.CultureInfo.InvariantCulture, out side) && double.IsFinite(side) && side > 0;

// The last expression, without a semicolon, is the exit code.
failed.Count == 0 ? 0 : 3
