// NAME: level tiles in rows, as few as the format needs. This file is the layout: change what you like, save, and check again.
//
//     imbrex check NAME.csx --sensor 36x24/6000x4000 --format 90x40
//     imbrex check NAME.csx --sensor 36x24/6000x4000 --format 90x40 --set more-overlap=2
//     imbrex bench NAME.csx --sensor 36x24/6000x4000 --format 90x40
//
// Positions are millimetres on the image plane: x to the photographer's right, y down, seen from behind the camera, 0 on the lens axis.

Name("NAME");
Summary("Level tiles in rows, as few as the format needs");

// A parameter is declared once: name, value unless given, unit, smallest and largest value, and a line for the help.
var more = Parameter("more-overlap", 0, Unit.Millimetre, 0, 10, "Overlap on top of what is required");

// What is left of a tile when the back misses its place as far as it may. What is computed with it is what the check grants.
var tile = UsableTile();
var overlap = Overlap + more;

foreach (var y in Places(Format.Height, tile.Height, "high"))
    foreach (var x in Places(Format.Width, tile.Width, "wide"))
        Tile(x, y);

// n tiles of one length that share an overlap with their neighbours reach over n (length - overlap) + overlap. They are spread so that the outer ones end
// where the format ends.
IReadOnlyList<double> Places(double whole, double length, string direction)
{
    // A layout that cannot serve what is asked says so in words: what is wrong, with the number, and what to do.
    if (length <= overlap)
        throw new RefusalException($"A tile is certain for {length:0.###} mm {direction}, and {overlap:0.###} mm of it are to be shared.", null, "Ask for less overlap.");
    var count = Math.Max(1, (int)Math.Ceiling((whole - overlap) / (length - overlap) - 1e-9));
    return Centred(count, count > 1 ? (whole - length) / (count - 1) : 0);
}
