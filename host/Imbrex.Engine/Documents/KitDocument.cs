namespace Imbrex.Engine.Documents;

/// <summary>What is screwed together. Fields may be missing; what needs them says so.</summary>
public sealed record KitDocument : JsonDocument
{
    public const string SchemaName = "imbrex/kit/1";

    public string? Name { get; init; }
    public required BodyPart Body { get; init; }
    public required BackPart Back { get; init; }
    public LensPart? Lens { get; init; }
    public CameraPart? Camera { get; init; }

    /// <summary>Required overlap in mm; without it, 10 % of the sensor's short side.</summary>
    public double? OverlapMm { get; init; }

    /// <summary>Sheets of film to compare views with, instead of the built-in nominal sizes.</summary>
    public IReadOnlyList<SheetPart>? Sheets { get; init; }

    internal override void Validate(DocumentCheck check)
    {
        Body.Validate(check, "$.body");
        Back.Validate(check, "$.back");
        Lens?.Validate(check, "$.lens");
        Camera?.Validate(check, "$.camera");
        check.NotNegative(OverlapMm, "$.overlapMm");
        check.Each(Sheets, "$.sheets", (sheet, at) => sheet.Validate(check, at));
    }
}

/// <summary>A size of film.</summary>
public sealed record SheetPart
{
    public required string Name { get; init; }
    public required double WidthMm { get; init; }
    public required double HeightMm { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(!string.IsNullOrWhiteSpace(Name), path + ".name", "The sheet has no name.");
        check.Positive(WidthMm, path + ".widthMm");
        check.Positive(HeightMm, path + ".heightMm");
    }
}

/// <summary>The camera body: sensor, mount and outline.</summary>
public sealed record BodyPart : ISensor
{
    public required double WidthMm { get; init; }
    public required double HeightMm { get; init; }
    public required int WidthPx { get; init; }
    public required int HeightPx { get; init; }

    /// <summary>From the lens mount to the sensor, mm.</summary>
    public double? RegisterMm { get; init; }
    public bool? Stabilised { get; init; }

    /// <summary>What sticks out of the body, such as grip and finder.</summary>
    public IReadOnlyList<OutlinePart>? Outline { get; init; }

    /// <summary>What stops light on its way to the sensor: the throat of the mount, and other openings of the body.</summary>
    public IReadOnlyList<StopPart>? Stops { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        SensorRules.Validate(this, check, path);
        check.Positive(RegisterMm, path + ".registerMm");
        check.Each(Stops, path + ".stops", (stop, at) => stop.Validate(check, at));
        check.Each(Outline, path + ".outline", (part, at) => part.Validate(check, at));
    }
}

/// <summary>Something that stops light on its way to the sensor, such as the throat of the lens mount.</summary>
public sealed record StopPart
{
    /// <summary><c>circle</c> or <c>rectangle</c>.</summary>
    public required string Shape { get; init; }

    /// <summary>Diameter of a circle, or width and height.</summary>
    public required IReadOnlyList<double> SizeMm { get; init; }

    /// <summary>How far it stands before the sensor, mm.</summary>
    public required double ToSensorMm { get; init; }

    /// <summary>What it moves with: <c>body</c> (the default), <c>back</c> or <c>camera</c>. What moves with the body is centred on the sensor.</summary>
    public string? MovesWith { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(Shape is "circle" or "rectangle", path + ".shape", $"The shape is \"{Shape}\"; known are circle and rectangle.");
        check.Require(SizeMm.Count == (Shape == "rectangle" ? 2 : 1), path + ".sizeMm", "A circle has one size, its diameter; a rectangle has two.");
        check.Each(SizeMm, path + ".sizeMm", (size, at) => check.Positive(size, at));
        check.Require(MovesWith is null or "body" or "back" or "camera", path + ".movesWith", "It moves with body, back or camera.");
        check.NotNegative(ToSensorMm, path + ".toSensorMm");
    }
}

/// <summary>The back: the name of its adapter geometry, that geometry's parameters, and the faults of this specimen.</summary>
public sealed record BackPart
{
    /// <summary>Name of an adapter geometry, or the path of an adapter script (.csx), which counts from the folder of the file that this stands in.</summary>
    public required string Adapter { get; init; }

    /// <summary>SHA-256 of the adapter script, in lower-case hexadecimal, for which the rest holds; a plan has it from the script that it was made with.</summary>
    public string? AdapterSha256 { get; init; }
    public IReadOnlyDictionary<string, System.Text.Json.JsonElement>? Parameters { get; init; }

    /// <summary>Depth from the seat of the film holder to the body's mount, mm; <c>[least, most]</c> where the mount slides and is clamped.</summary>
    public MountDepthPart? DatumToMountMm { get; init; }

    /// <summary>Clear opening of the fixed part of the back, width and height, mm.</summary>
    public IReadOnlyList<double>? OpeningMm { get; init; }

    /// <summary>How far that opening stands before the sensor, mm; where the mount slides, at its least depth.</summary>
    public double? OpeningToSensorMm { get; init; }

    /// <summary>Parts of the back that the body must clear, such as plate and rails, and parts that go with the body, such as a bracket.</summary>
    public IReadOnlyList<OutlinePart>? Outline { get; init; }
    public IReadOnlyList<AxisPart>? Axes { get; init; }
    public IReadOnlyList<TurnPart>? Turns { get; init; }

    /// <summary>How far the sensor may be turned from where it should be, degrees; the play of a pivot is part of it.</summary>
    public double? AngularToleranceDeg { get; init; }

    /// <summary>Lean of the sensor against the plane in which it slides: two angles, degrees.</summary>
    public IReadOnlyList<double>? SensorTiltDeg { get; init; }
    public IReadOnlyList<SeatPart>? Seats { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(AdapterSha256 is null || (AdapterSha256.Length == 64 && AdapterSha256.All(letter => char.IsAsciiHexDigitLower(letter))), path + ".adapterSha256", "A SHA-256 has 64 digits, 0 to 9 and a to f.");
        check.Require(OpeningMm is null or { Count: 2 }, path + ".openingMm", "The opening is [width, height].");
        check.Each(OpeningMm, path + ".openingMm", (size, at) => check.Positive(size, at));
        DatumToMountMm?.Validate(check, path + ".datumToMountMm");
        check.NotNegative(OpeningToSensorMm, path + ".openingToSensorMm");
        check.NotNegative(AngularToleranceDeg, path + ".angularToleranceDeg");
        check.Require(AngularToleranceDeg is not > 45, path + ".angularToleranceDeg", "A tolerance above 45 degrees leaves no usable tile.");
        check.Require(SensorTiltDeg is null or { Count: 2 }, path + ".sensorTiltDeg", "The tilt has two angles.");
        check.Each(Axes, path + ".axes", (axis, at) => axis.Validate(check, at));
        string[] names = [.. (Axes ?? []).Select(axis => axis.Name).OfType<string>()];
        check.Require(names.Distinct(StringComparer.OrdinalIgnoreCase).Count() == names.Length, path + ".axes", "Two axes have one name: nobody could tell which to move.");
        check.Each(Turns, path + ".turns", (turn, at) => turn.Validate(check, at));
        check.Each(Seats, path + ".seats", (seat, at) => seat.Validate(check, at));
        check.Each(Outline, path + ".outline", (part, at) => part.Validate(check, at, ofBack: true));
        foreach ((string name, System.Text.Json.JsonElement value) in Parameters ?? new Dictionary<string, System.Text.Json.JsonElement>())
        {
            bool simple = value.ValueKind is System.Text.Json.JsonValueKind.Number or System.Text.Json.JsonValueKind.String
                or System.Text.Json.JsonValueKind.True or System.Text.Json.JsonValueKind.False;
            check.Require(simple, $"{path}.parameters.{name}", "A parameter is a number, a word, true or false.");
        }
    }
}

/// <summary>A camera turn that the back offers.</summary>
public sealed record TurnPart
{
    public required int Deg { get; init; }

    /// <summary>How far the sensor's centre lies from the carriage's own point at this turn, [x, y], mm: a fault, or a mount off the axis of turning.</summary>
    public IReadOnlyList<double>? OffsetMm { get; init; }
    public double? ErrorDeg { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(Deg is 0 or 90 or 180 or 270, path + ".deg", $"The turn is {Deg}; it must be 0, 90, 180 or 270.");
        check.Require(OffsetMm is null or { Count: 2 }, path + ".offsetMm", "The offset is [x, y].");
    }
}

/// <summary>A way of seating the back on the camera.</summary>
public sealed record SeatPart
{
    /// <summary><c>upright</c> or <c>turned</c>.</summary>
    public required string State { get; init; }
    public IReadOnlyList<double>? CentreMm { get; init; }
    public double? AngleDeg { get; init; }
    public IReadOnlyList<double>? TiltDeg { get; init; }
    public double? DepthMm { get; init; }

    /// <summary>
    /// How far the seat may miss its place, mm: on top of what the axes miss, and alone in a direction in which no axis moves the sensor, as up and down on a single
    /// rail. Where it is not given, the axis stands for it there.
    /// </summary>
    public double? ToleranceMm { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.NotNegative(ToleranceMm, path + ".toleranceMm");
        check.Require(State is "upright" or "turned", path + ".state", $"The state is \"{State}\"; known are upright and turned.");
        check.Require(CentreMm is null or { Count: 2 }, path + ".centreMm", "The centre is [x, y].");
        check.Require(TiltDeg is null or { Count: 2 }, path + ".tiltDeg", "The tilt has two angles.");
    }
}

/// <summary>The lens. What is not given comes from its class, scaled to the focal length.</summary>
public sealed record LensPart
{
    /// <summary>A generic class of lenses from the built-in catalogue, such as <c>standard</c>, for what is not known of this one.</summary>
    public string? Class { get; init; }

    /// <summary>Focal length, mm.</summary>
    public required double FocalLengthMm { get; init; }

    /// <summary>From the lens board to the image of a thing at infinity, mm.</summary>
    public double? FlangeFocalMm { get; init; }

    /// <summary>From the exit pupil to the image of a thing at infinity, mm; without it, the focal length times the pupil magnification.</summary>
    public double? ExitPupilMm { get; init; }

    /// <summary>Diameter of the exit pupil by that of the entrance pupil; without it, 1.</summary>
    public double? PupilMagnification { get; init; }

    /// <summary>Diameter of the circle that the lens lights at infinity, mm.</summary>
    public double? LightCircleMm { get; init; }

    /// <summary>Diameter of the circle in which it is sharp at infinity, mm.</summary>
    public double? SharpCircleMm { get; init; }

    /// <summary>The f-number at which the circles are stated.</summary>
    public double? ImageCircleAperture { get; init; }

    /// <summary>Widest and smallest aperture, f-numbers.</summary>
    public IReadOnlyList<double>? ApertureRange { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(Class is null || Optics.LensCatalogue.Find(Class) is not null, path + ".class", $"There is no lens class \"{Class}\"; known are {string.Join(", ", Optics.LensCatalogue.Classes.Select(known => known.Name))}.");
        check.Positive(FocalLengthMm, path + ".focalLengthMm");
        check.Positive(FlangeFocalMm, path + ".flangeFocalMm");
        check.Positive(ExitPupilMm, path + ".exitPupilMm");
        check.Positive(PupilMagnification, path + ".pupilMagnification");
        check.Positive(LightCircleMm, path + ".lightCircleMm");
        check.Positive(SharpCircleMm, path + ".sharpCircleMm");
        check.Require(!(SharpCircleMm > LightCircleMm), path + ".sharpCircleMm", "The sharp circle is larger than the circle of light.");
        check.Positive(ImageCircleAperture, path + ".imageCircleAperture");
        check.Require(ApertureRange is null || (ApertureRange is [> 0, > 0] && ApertureRange[0] <= ApertureRange[1]), path + ".apertureRange", "The range is [widest, smallest] as f-numbers, such as [5.6, 45].");
    }
}

/// <summary>The view camera. Movements are ranges [from, to].</summary>
public sealed record CameraPart
{
    /// <summary>Shortest distance from lens board to film that the camera allows, mm.</summary>
    public double? BoardToFilmMinMm { get; init; }

    /// <summary>Longest, mm.</summary>
    public double? BoardToFilmMaxMm { get; init; }

    /// <summary>From the seat of the film holder to the film, mm: 4.83 in holders for 4x5 inch, 5.61 for 5x7, 6.43 for 8x10.</summary>
    public double? FilmDepthMm { get; init; }

    /// <summary>Clear opening of the camera's rear standard, width and height, mm.</summary>
    public IReadOnlyList<double>? OpeningMm { get; init; }

    /// <summary>How far that opening stands before the film, mm.</summary>
    public double? OpeningToFilmMm { get; init; }

    /// <summary>Parts of the rear standard that body and back must clear; they stay when the back is turned over.</summary>
    public IReadOnlyList<OutlinePart>? Outline { get; init; }

    /// <summary>Whether the back can be seated turned over.</summary>
    public bool? BackTurns { get; init; }
    public IReadOnlyList<double>? RiseMm { get; init; }
    public IReadOnlyList<double>? ShiftMm { get; init; }
    public IReadOnlyList<double>? TiltDeg { get; init; }
    public IReadOnlyList<double>? SwingDeg { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Positive(BoardToFilmMinMm, path + ".boardToFilmMinMm");
        check.Positive(BoardToFilmMaxMm, path + ".boardToFilmMaxMm");
        check.Require(!(BoardToFilmMaxMm < BoardToFilmMinMm), path + ".boardToFilmMaxMm", "The longest distance is shorter than the shortest.");
        check.NotNegative(FilmDepthMm, path + ".filmDepthMm");
        check.NotNegative(OpeningToFilmMm, path + ".openingToFilmMm");
        check.Each(OpeningMm, path + ".openingMm", (size, at) => check.Positive(size, at));
        check.Require(OpeningMm is null or { Count: 2 }, path + ".openingMm", "The opening is [width, height].");
        check.Each(Outline, path + ".outline", (part, at) => part.Validate(check, at));
        foreach ((IReadOnlyList<double>? range, string name) in new[] { (RiseMm, "riseMm"), (ShiftMm, "shiftMm"), (TiltDeg, "tiltDeg"), (SwingDeg, "swingDeg") })
            check.Require(range is null || (range.Count == 2 && range[0] <= range[1]), $"{path}.{name}", "The range is [from, to].");
    }
}
