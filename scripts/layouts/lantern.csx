// lantern: four level tiles in the middle and an upright one at each side that reaches further in, because this back has no
// firm stop out there. Seen from behind it looks like a lantern with its two handles.
//
//     imbrex check scripts/layouts/lantern.csx --kit kit.json --format 90x34
//     imbrex check scripts/layouts/lantern.csx --kit kit.json --format 88x34 --set side=33
//
// Accepted for: sensor 36x24, format 90x34, overlap 2.4, tolerance 0.5,0.3
//
// Positions are millimetres on the image plane: x to the photographer's right, y down, seen from behind the camera.

Name("lantern");
Summary("Two by two level tiles between two upright ones");

// A parameter is declared once: name, value unless given, unit, smallest and largest value. The host checks what the user gives.
var side = Parameter("side", 34.0, Unit.Millimetre, 26, 40, "Distance of the upright tiles from the axis");

// Centred(count: 2, step: 30) is -15 and 15.
foreach (var y in Centred(count: 2, step: 19))
    foreach (var x in Centred(count: 2, step: 30))
        Tile(x, y);

// The body turned a quarter clockwise: the tile stands on its short side.
foreach (var x in new[] { -side, side })
    Tile(x, 0, Turn.Quarter);
