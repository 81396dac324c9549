// two-arcs: for a turret, whose arm carries the sensor round a pivot below the lens axis and turns it on the way. The tiles stand on
// an arc like the spokes of a fan; with the back turned over the same arc lies below, upside down.
//
//     imbrex check scripts/layouts/two-arcs.csx --kit scripts/kits/turret.json --format 56x33
//     imbrex check scripts/layouts/two-arcs.csx --kit scripts/kits/turret.json --format 30x34 --set tiles=2
//
// Accepted for: sensor 36x24, format 56x33, overlap 2, tolerance 0.3,0.3
//
// The arm's length and the pivot are those of the kit: arm-y there is this arm, upwards, and pivot-y this pivot.

Name("two-arcs");
Summary("Two arcs of tiles that a turret reaches, the second with the back turned over");

var arm = Parameter("arm", 90.0, Unit.Millimetre, 10, 400, "From the pivot to the sensor's centre");
var pivot = Parameter("pivot", 81.0, Unit.Millimetre, 0, 400, "How far the pivot lies below the lens axis");
var tiles = Count("tiles", 4, 1, 20, "Tiles on each arc");
var step = Parameter("step", 12.0, Unit.Degree, 1, 90, "Angle from one tile to the next");

foreach (var angle in Centred(tiles, step))
{
    // Turned about the pivot by the angle, clockwise seen from behind: at 0 the arm points straight up.
    var radians = angle * Math.PI / 180;
    var x = arm * Math.Sin(radians);
    var y = pivot - arm * Math.Cos(radians);
    Tile(x, y, rotation: angle);

    // The back turned over: half a turn about the lens axis, for place and body alike.
    Tile(-x, -y, Turn.Half, rotation: angle);
}
