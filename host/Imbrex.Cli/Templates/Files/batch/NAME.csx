// NAME: merges every take below --in and delivers a copy of each below --out. Run it again after new takes have come in: what is done already is skipped.
//
//     imbrex run NAME.csx --in takes --out delivered
//     imbrex run NAME.csx --in takes --out delivered target=tiff-master
//
// A take is a folder with a plan.json and its frames, beside it or in a folder called frames. One bad take does not stop the others: it is named at the
// end, and the exit code is then 3.
//
// A batch script runs with all your rights: it may read and write files, and others who run it trust you with theirs.

// Arguments are given as name=value. In and out are full paths.
var target = Arguments.GetValueOrDefault("target", "jpeg-access");
var takes = FindTakes(Input);
var failed = new List<string>();
Log($"takes below {Input}: {takes.Count}");

for (var i = 0; i < takes.Count; i++)
{
    Progress((double)i / takes.Count, takes[i].Name);
    var folder = Path.Combine(Output, Path.GetRelativePath(Input, Path.GetDirectoryName(takes[i].PlanFile)));
    try
    {
        var mosaic = await MergeAsync(takes[i], Path.Combine(folder, "mosaic"));
        foreach (var finding in mosaic.Findings)
            Log($"{takes[i].Name}: {finding}");
        var receipt = await ExportAsync(mosaic, target, Path.Combine(folder, target));
        Log($"{takes[i].Name}: {receipt.Files.Sum(file => file.Bytes) / 1e6:0.0} MB delivered");
    }
    // What the user can mend: a frame that is missing, a target that refuses. Anything else is a fault of the script and ends it.
    catch (ImbrexException e)
    {
        failed.Add($"{takes[i].Name}: {e.Message} {e.Remedy}");
    }
}

foreach (var failure in failed)
    Log($"left out: {failure}");

// The exit code: 3 says that something named was left out.
return failed.Count == 0 ? 0 : 3;
