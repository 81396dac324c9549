using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Testing.Fakes;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>How hard a part is tried. The same options make the same trials.</summary>
public record ConformanceOptions
{
    /// <summary>How many combinations of legal values are tried on top of all ends and middles.</summary>
    public int Trials { get; init; } = 200;

    /// <summary>Seed of the combinations.</summary>
    public int Seed { get; init; } = 1;

    /// <summary>Threads that ask at once.</summary>
    public int Threads { get; init; } = 4;

    /// <summary>How long a single call may take before it is called endless.</summary>
    public TimeSpan Patience { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>Rules that this part is not held to. Say why beside it.</summary>
    public IReadOnlyList<ConformanceRule> Without { get; init; } = [];
}

/// <summary>How hard a layout is tried.</summary>
public sealed record LayoutConformanceOptions : ConformanceOptions
{
    /// <summary>A request that the layout serves with its default parameters. Other requests are made from it, larger, smaller and within limits.</summary>
    public LayoutRequest Request { get; init; } = LayoutRequests.Ordinary;
}

/// <summary>How hard an adapter geometry is tried.</summary>
public sealed record AdapterConformanceOptions : ConformanceOptions
{
    /// <summary>
    /// Whether a specimen can be set so, for a geometry whose axes restrict one another (as where one of two rails is shorter). Asked of settings within travel, detents, turns and
    /// seats only; unless set, the back has all of these.
    /// </summary>
    public Func<BackSpec, Setting, bool> HasSetting { get; init; } = (_, _) => true;
}

/// <summary>How hard an export target is tried.</summary>
public sealed record ExportConformanceOptions : ConformanceOptions
{
    /// <summary>How many combinations are tried: each is a whole export.</summary>
    public ExportConformanceOptions() => Trials = 12;

    /// <summary>How long after a cancellation the export may still work. The contract says a second.</summary>
    public TimeSpan CancellationPatience { get; init; } = TimeSpan.FromSeconds(1);

    /// <summary>Width of the tall picture that is read, cancelled and broken off, pixels. It is three times as high.</summary>
    public int TallWidth { get; init; } = 1600;
}
