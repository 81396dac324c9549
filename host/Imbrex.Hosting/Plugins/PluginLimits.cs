namespace Imbrex.Hosting.Plugins;

/// <summary>How long a plugin that did not come with the program may take.</summary>
/// <param name="Make">To be loaded, to make a part, or to have it described.</param>
/// <param name="Work">To arrange tiles, or to build a back.</param>
/// <param name="Kinematics">For one pose, solution or cost, which take microseconds.</param>
public sealed record PluginLimits(TimeSpan Make, TimeSpan Work, TimeSpan Kinematics)
{
    /// <summary>What users get.</summary>
    public static PluginLimits Usual { get; } = new(TimeSpan.FromSeconds(5), TimeSpan.FromSeconds(30), TimeSpan.FromSeconds(5));
}
