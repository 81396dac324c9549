// NAME: a back whose rail runs at a slope, on a post that lifts it. This file says where the carriage stands; the program finds how to set rail and post
// for a place, how far both reach, and what turning the body or the back over does.
//
//     imbrex check fewest-frames --kit kit.json --format 60x30
//     imbrex catalog --scripts .
//
// A kit names this file as back.adapter, and gives in back.axes what one specimen can do, in the order in which the axes are declared here: kit.json beside
// this file is such a kit. Put in your own numbers.
//
// Places are millimetres on the image plane from the upright seat's centre: x to the photographer's right, y down, seen from behind the camera.

Name("NAME");
Summary("A rail that runs at a slope, on a post that lifts it");

// A parameter is declared once: name, value unless given, unit, smallest and largest value, and a line for the help. A kit gives others in back.parameters.
var slope = Parameter("slope", 10.0, Unit.Degree, -60, 60, "How far the rail falls towards the photographer's right");

// What an axis is called goes into messages: "the rail would have to be 45 mm and ends at 40 mm". Pivot("...") declares one that turns, in degrees.
var rail = Axis("the rail");
var post = Axis("the post");

// Where the sensor's centre stands for the axes' positions; a third number would be how far the carriage is turned, degrees clockwise. The same positions
// must always give the same place.
var angle = slope * Math.PI / 180;
Carriage(p => new(p[rail] * Math.Cos(angle), p[rail] * Math.Sin(angle) + p[post]));
