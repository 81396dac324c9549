// brickwork: rows that are staggered against each other like bricks, so that no two seams meet in a cross. It costs a little width,
// and pays where a plain grid would put four corners into one smooth piece of sky.
//
//     imbrex check scripts/layouts/brickwork.csx --kit kit.json --format 110x60
//     imbrex plan scripts/layouts/brickwork.csx --kit kit.json --format 80x40 --set columns=3 --set rows=2 --out plan.json
//
// Accepted for: sensor 36x24, format 110x60, overlap 2.4, tolerance 0.5,0.3

Name("brickwork");
Summary("Rows of level tiles, every other row shifted sideways");

// Count declares a whole number, Parameter any number. All of them show up in imbrex catalog and are given with --set name=value.
var columns = Count("columns", 4, 1, 20, "Tiles in a row");
var rows = Count("rows", 3, 1, 20, "Rows");
var stepX = Parameter("step-x", 28.0, Unit.Millimetre, 1, 200, "Distance of neighbours in a row");
var stepY = Parameter("step-y", 19.0, Unit.Millimetre, 1, 200, "Distance of rows");
var shift = Parameter("shift", 7.0, Unit.Millimetre, 0, 100, "How far every other row is shifted");

var row = 0;
foreach (var y in Centred(rows, stepY))
{
    // Half of the shift to either side keeps the whole centred on the axis.
    var sideways = row % 2 == 0 ? -shift / 2 : shift / 2;
    var column = 0;
    foreach (var x in Centred(columns, stepX))
        Tile(x + sideways, y, id: $"r{row + 1}c{++column}");
    row++;
}
