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
}
