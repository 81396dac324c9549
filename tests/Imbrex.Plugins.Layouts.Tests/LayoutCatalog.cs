using CsCheck;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Plugins.Layouts.Tests;

/// <summary>The built-in layouts as the host finds them: by scanning the assembly.</summary>
internal static class LayoutCatalog
{
    public static IReadOnlyList<IMosaicLayout> All { get; } =
    [
        .. typeof(RegularGrid).Assembly.GetExportedTypes()
            .Where(type => typeof(IMosaicLayout).IsAssignableFrom(type))
            .Select(type => (IMosaicLayout)Activator.CreateInstance(type)!)
            .OrderBy(layout => layout.Description.Name, StringComparer.Ordinal),
    ];

    public static TheoryData<string> Names => [.. All.Select(layout => layout.Description.Name)];

    public static IMosaicLayout Named(string name) => All.Single(layout => layout.Description.Name == name);

    public static ParameterValues Bind(IMosaicLayout layout, params (string Name, string Value)[] given) =>
        ParameterValues.Bind(layout.Description.Parameters, given.ToDictionary(pair => pair.Name, pair => pair.Value));

    /// <summary>Any legal values: ends, default and anything between, as declared.</summary>
    public static Gen<ParameterValues> AnyParameters(IMosaicLayout layout) =>
        Gen.Double[0, 1].Array[layout.Description.Parameters.Count].Select(draws => ParameterValues.Bind(
            layout.Description.Parameters,
            layout.Description.Parameters.Zip(draws, (definition, draw) => (definition.Name, definition.Format(Legal(definition, draw)))).ToDictionary()));

    private static double Legal(ParameterDefinition definition, double draw)
    {
        (double low, double high) = (Math.Max(definition.Minimum, -1e9), Math.Min(definition.Maximum, 1e9));
        double value = draw switch
        {
            < 0.1 => low,
            < 0.2 => high,
            < 0.5 => definition.Default,
            < 0.8 => low + (high - low) * 0.05 * (draw - 0.5) / 0.3,
            _ => low + (high - low) * (draw - 0.8) / 0.2,
        };
        return definition.IsWhole ? Math.Floor(value) : value;
    }
}
