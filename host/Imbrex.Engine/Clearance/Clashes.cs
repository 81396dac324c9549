using Imbrex.Engine.Planning;
using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Clearance;

/// <summary>Which settings, and which moves between two of them, the rule of clearance refuses at one depth of the mount. Answers are kept.</summary>
internal sealed class Clashes
{
    private readonly Passages _passages;
    private readonly double? _depth;
    private readonly Dictionary<Setting, bool> _settings = [];
    private readonly Dictionary<(Setting From, Setting To), bool> _moves = [];

    private Clashes(Passages passages, double? depth) => (_passages, _depth) = (passages, depth);

    /// <summary>For a kit whose parts are known, at a depth from the film datum to the mount; null where no parts could meet.</summary>
    public static Clashes? Of(CheckRequest request, double? depth) => Passages.Of(request) is { } passages ? new(passages, depth) : null;

    public bool At(Setting setting) => Known(_settings, setting, () => _passages.Standing([], setting));

    public bool Between(Setting from, Setting to) => Known(_moves, (from, to), () => _passages.Between([], from, to));

    private bool Known<T>(Dictionary<T, bool> known, T key, Func<Passage> passage)
        where T : notnull
    {
        if (!known.TryGetValue(key, out bool clash))
            known[key] = clash = passage().Clear(_depth) is null;
        return clash;
    }
}
