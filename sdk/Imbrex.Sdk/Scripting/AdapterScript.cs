using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Scripting;

/// <summary>
/// The words that an adapter script (.csx) may use: its members are in scope there without a prefix. A script says its name, declares its parameters and the axes of the back, and gives the
/// place of the carriage as a function of the axes' positions. Seats, the body's turns, the inverse, limits, tolerances and costs come from the SDK. The same positions must give the same place.
/// </summary>
/// <example>
/// <code>
/// Name("disc-on-rail");
/// var radius = Parameter("radius", 20, Unit.Millimetre, 1, 60, "From the disc's pivot to the sensor's centre");
/// var rail = Axis("the rail across");
/// var disc = Pivot("the disc");
/// Carriage(p => new(p[rail] + radius * Math.Sin(p[disc] * Math.PI / 180), -radius * Math.Cos(p[disc] * Math.PI / 180), p[disc]));
/// </code>
/// </example>
public sealed class AdapterScript : PartScript
{
    private const int LongestWords = 60;

    private readonly List<AxisNeed> _axes = [];
    private Func<IReadOnlyList<double>, CarriagePose>? _place;
    private Func<CarriagePose, IReadOnlyList<double>>? _inverse;

    /// <summary>Prepares one run of a script. Hosts call this; scripts do not.</summary>
    /// <param name="given">Parameter values as the user wrote them.</param>
    public AdapterScript(IReadOnlyDictionary<string, string> given) : base("an adapter", given)
    {
    }

    /// <summary>Most axes that a script may declare.</summary>
    public const int MaximumAxes = Adapters.Numerical.PlaceRaster.MostAxes;

    /// <summary>Declares a slide, whose positions are mm, and returns its number: <c>var rail = Axis("the rail across");</c> The kit gives its travel, stops and faults in this order.</summary>
    /// <param name="words">What it moves, in words that a message can go on with.</param>
    /// <exception cref="InputException">No words, or too many axes.</exception>
    public int Axis(string words) => Declare(new(words));

    /// <summary>Declares an axis that turns, whose positions are degrees, and returns its number: <c>var disc = Pivot("the disc");</c></summary>
    /// <param name="words">What it turns, in words that a message can go on with.</param>
    /// <exception cref="InputException">No words, or too many axes.</exception>
    public int Pivot(string words) => Declare(new(words, IsPivot: true));

    /// <summary>
    /// Says where the carriage stands: <c>Carriage(p => new(p[rail], p[lift]));</c> p holds the axes' positions, mm and degrees; the answer is x (right) and y (down) of the carriage's own point
    /// from the upright seat's centre, mm, and where it turns, by how much, degrees clockwise seen from behind.
    /// </summary>
    /// <param name="place">The forward kinematics. It is asked anywhere within the travel that the kit gives, between stops too, and for the same positions must always answer the same.</param>
    /// <exception cref="InputException">Said twice.</exception>
    public void Carriage(Func<IReadOnlyList<double>, CarriagePose> place) => _place = _place is null && place is not null
        ? place
        : throw new InputException("The script says twice where the carriage stands, or gives no function.", "Carriage", "Call Carriage(p => new(x, y, angle)) once.");

    /// <summary>
    /// Says, where it is known, which positions bring the carriage to a place: <c>Inverse(at => new[] { at.X, at.Y });</c> A guess will do. It need not mind travel and stops; the SDK makes it exact,
    /// and finds the positions without it too.
    /// </summary>
    /// <param name="inverse">The positions in the order of the axes; numbers that are not finite where there are none.</param>
    /// <exception cref="InputException">Said twice.</exception>
    public void Inverse(Func<CarriagePose, IReadOnlyList<double>> inverse) => _inverse = _inverse is null && inverse is not null
        ? inverse
        : throw new InputException("The script gives two inverses, or no function.", "Inverse", "Call Inverse once, or leave it out.");

    /// <summary>What the script said. Hosts call this after the run; scripts do not.</summary>
    /// <exception cref="InputException">The script gave no name, or never says where the carriage stands, or the user gave a parameter that it does not declare.</exception>
    public AdapterScriptResult Result()
    {
        PartDescription description = Describe();
        if (_place is null)
            throw new InputException("The script never says where the carriage stands.", "Carriage", "Call Carriage(p => new(x, y, angle)) once.");
        _ = Bind();
        return new(description, [.. _axes], _place, _inverse);
    }

    private int Declare(AxisNeed axis)
    {
        if (axis.Words is { Length: > LongestWords })
            throw new InputException($"The words for an axis have {axis.Words.Length} letters; {LongestWords} are the most.", "Axis", "Say in a few words what it moves.");
        if (string.IsNullOrWhiteSpace(axis.Words))
            throw new InputException("An axis has no words.", "Axis", "Say what it moves: Axis(\"the rail across\").");
        if (_axes.Count == MaximumAxes)
            throw new InputException($"The script declares more than {MaximumAxes} axes.", "Axis", "Leave out axes that are not moved between exposures.");
        _axes.Add(axis);
        return _axes.Count - 1;
    }
}

/// <summary>What a run of an adapter script yields.</summary>
/// <param name="Description">Name, summary and parameters as declared.</param>
/// <param name="Axes">The axes, in order.</param>
/// <param name="Place">The forward kinematics.</param>
/// <param name="Inverse">The inverse, where the script knows it.</param>
public sealed record AdapterScriptResult(PartDescription Description, IReadOnlyList<AxisNeed> Axes, Func<IReadOnlyList<double>, CarriagePose> Place, Func<CarriagePose, IReadOnlyList<double>>? Inverse)
{
    /// <summary>Makes the back of a specimen.</summary>
    /// <param name="spec">The back as it is in the kit.</param>
    /// <exception cref="InputException">A value makes no sense for this geometry, or the carriage has no place within the travel.</exception>
    public IBack Build(BackSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        spec.Validate(Description.Name, Axes);
        return new SeatedBack(spec, new NumericalCarriage(spec, Axes, Place, Inverse));
    }
}
