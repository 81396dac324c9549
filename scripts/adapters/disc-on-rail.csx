// disc-on-rail: the body on a disc whose pivot is off the body's centre, and the pivot itself slides on a rail: a bearing ring, a piece of
// rail and a clamp are all that it takes. The disc turned to the left or right lifts or lowers the sensor and takes it aside, which the
// rail makes good. The sensor turns with the disc; a second ring on the disc holds the body level, if the kit says level=1.
//
//     imbrex check fewest-frames --kit scripts/kits/disc-on-rail.json --format 80x36
//     imbrex catalog --scripts scripts/adapters
//
// The kit names this file as back.adapter, and gives in back.axes what this specimen can do: first the rail (minMm, maxMm), then the disc
// (minDeg, maxDeg, detentsDeg), in the order in which they are declared here.
//
// Places are millimetres on the image plane from the upright seat's centre: x to the photographer's right, y down, seen from behind the
// camera. Only where the carriage stands is said here: how to set rail and disc for a place, how far both reach, what turning the body or
// the back over does, and what play and tolerances come to is found by the program.

Name("disc-on-rail");
Summary("A disc with an off-centre pivot that slides on a rail, the body turning with it or held level");

// A parameter is declared once: name, value unless given, unit, smallest and largest value. The kit gives others in back.parameters.
var radius = Parameter("radius", 14.0, Unit.Millimetre, 2, 60, "From the disc's pivot to the sensor's centre");
var height = Parameter("height", 0.0, Unit.Millimetre, -60, 60, "How far below the seat's centre the pivot's rail lies");
var level = Count("level", 0, 0, 1, "1 where a second ring keeps the body level");

// An axis that slides and one that turns. What they return is their number among the positions.
var rail = Axis("the rail across");
var disc = Pivot("the disc");

// Where the sensor's centre stands, and how far the carriage is turned, degrees clockwise. The disc at 0 holds the sensor to the right of
// the pivot, at 90 below it. The same positions must always give the same place.
Carriage(p =>
{
    var angle = p[disc] * Math.PI / 180;
    return new(p[rail] + radius * Math.Cos(angle), height + radius * Math.Sin(angle), level == 1 ? 0 : p[disc]);
});
