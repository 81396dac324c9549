namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>What a part is held to. Each finding of the suite names the rule that was broken.</summary>
public enum ConformanceRule
{
    /// <summary>The host can make the part: a public class with a public constructor without parameters.</summary>
    Constructible,

    /// <summary>The description is the same whenever it is asked for, and its summaries are one line each without a full stop.</summary>
    DescriptionIsSane,

    /// <summary>Every parameter that is a number says from where to where it goes, so that help, sliders and tests know.</summary>
    ParameterHasARange,

    /// <summary>A number that is a length, an angle or a time says so with its unit.</summary>
    ParameterHasItsUnit,

    /// <summary>What is asked for in the ordinary way, with no parameter given, is done and not refused.</summary>
    DefaultsServe,

    /// <summary>A legal request ends in a result or in the documented refusal, in no other exception.</summary>
    NoOtherException,

    /// <summary>A refusal names the number that fails and says what would work.</summary>
    RefusalSaysWhatToDo,

    /// <summary>Every call comes to an end.</summary>
    CallsEnd,

    /// <summary>The same request gives the same result: again, in another order, and on several threads at once.</summary>
    SameRequestSameResult,

    /// <summary>Every number of a result is finite, and there are not more tiles than a plan may hold.</summary>
    ResultIsFinite,

    /// <summary>Names of tiles are used once.</summary>
    NamesAreUnique,

    /// <summary>The sensor stays where the back can put it, at the turns that the back can bring about.</summary>
    LimitsAreRespected,

    /// <summary>A specimen that makes no sense is refused with an <see cref="InputException"/>.</summary>
    BadSpecimensAreRefused,

    /// <summary>The inverse finds a setting of every pose that a setting gives, to 1e-9 mm and 1e-9 degrees.</summary>
    InverseFindsThePose,

    /// <summary>A solution's pose and error are those of its setting.</summary>
    SolutionsAreTrue,

    /// <summary>Solutions are settings that the back has: within travel, at detents, with turns and seats on offer, one for each seat at most, reached ones first.</summary>
    SolutionsAreLegal,

    /// <summary>No other stop of the same seat and turn comes nearer than the solution.</summary>
    SolutionsAreNearest,

    /// <summary>A pose out of reach comes with a reason in words, one that is reached with none.</summary>
    ReasonIsGiven,

    /// <summary>A pose is given between detents too, and moves on without jumps.</summary>
    PoseIsContinuous,

    /// <summary>A setting with another number of positions than the back has axes is refused with an <see cref="ArgumentException"/>.</summary>
    ForeignSettingsAreRefused,

    /// <summary>Costs are finite and not negative, nothing from a setting to itself, and no detour is cheaper than the direct way.</summary>
    CostsAreSane,

    /// <summary>Tolerances are finite and not negative, and not nothing where an axis misses; depth and opening make sense.</summary>
    FactsOfTheBackAreSane,

    /// <summary>The receipt lists every file that was written, with its true size and SHA-256, under plain relative names.</summary>
    ReceiptIsTrue,

    /// <summary>Nothing is written outside the folder, and nothing of the host's is changed.</summary>
    FolderIsKept,

    /// <summary>The picture is read in blocks, never as a whole.</summary>
    PictureIsReadInBlocks,

    /// <summary>A cancellation ends the export within a second with an <see cref="OperationCanceledException"/>.</summary>
    CancellationIsHeard,

    /// <summary>Progress rises from 0 to 1 and is told on the way.</summary>
    ProgressRises,

    /// <summary>A picture that cannot be read ends the export with the picture's own words.</summary>
    FaultOfThePictureIsTold,
}
