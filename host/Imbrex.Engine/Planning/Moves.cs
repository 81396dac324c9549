using Imbrex.Engine.Clearance;
using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>What it takes to go from setting to setting of one back, collisions counted where the parts are known.</summary>
/// <param name="back">The back.</param>
/// <param name="clashes">Which moves collide, or null where that is not asked.</param>
internal sealed class Moves(IBack back, Clashes? clashes = null)
{
    public IBack Back => back;

    /// <summary>The work from one setting to the next.</summary>
    public Handling Between(Setting from, Setting to)
    {
        MoveCost cost = back.Cost(from, to);
        bool sameRun = cost is { BackTurns: 0, CameraTurns: 0 };
        return new(cost.BackTurns, cost.CameraTurns, clashes?.Between(from, to) is true ? 1 : 0, sameRun ? Handling.WrongSides(back, from, to).Count() : 0, cost.Travel);
    }

    /// <summary>The work of a whole order, and the settings in it at which something collides.</summary>
    public Handling Of(IEnumerable<Setting> order)
    {
        Handling sum = default;
        Setting? last = null;
        foreach (Setting setting in order)
        {
            sum = last is null ? sum : sum + Between(last, setting);
            sum += new Handling(0, 0, clashes?.At(setting) is true ? 1 : 0, 0, 0);
            last = setting;
        }
        return sum;
    }
}
