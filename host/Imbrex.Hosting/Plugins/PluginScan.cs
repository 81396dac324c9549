using System.Reflection;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Layouts;
using Microsoft.Extensions.DependencyInjection;

namespace Imbrex.Hosting.Plugins;

/// <summary>Finds the parts that plugins hold, and makes one of each. What fails is named and left out; the rest goes on.</summary>
internal sealed class PluginScan(IPluginLoader loader)
{
    private static readonly Type[] Contracts = [typeof(IMosaicLayout), typeof(IAdapterGeometry), typeof(IExportTarget)];

    private readonly List<(PluginFile, object)> _parts = [];
    private readonly List<PluginProblem> _problems = [];

    /// <summary>The parts found so far, each with where it comes from.</summary>
    public IReadOnlyList<(PluginFile Plugin, object Part)> Parts => _parts;

    public IReadOnlyList<PluginProblem> Problems => _problems;

    public void Add(PluginFile plugin)
    {
        if (PluginContract.Refusal(plugin) is { } refusal)
        {
            Report(plugin, refusal);
            return;
        }
        // One collection for each plugin: what a failing scan leaves behind in it hurts nobody else.
        var services = new ServiceCollection();
        try
        {
            Register(services, loader.Load(plugin.Path));
        }
        catch (Exception e)
        {
            Report(plugin, $"It cannot be loaded: {Words(e)}");
            return;
        }
        if (services.Count == 0)
            Report(plugin, "It holds no public layout, adapter or export target.");
        using ServiceProvider provider = services.BuildServiceProvider();
        foreach (ServiceDescriptor service in services)
            Make(plugin, provider, service.ServiceType);
    }

    // Transient: the container then keeps no hold on the parts and does not dispose of them.
    private static void Register(ServiceCollection services, Assembly assembly) => services.Scan(scan => scan
        .FromAssemblies(assembly)
        .AddClasses(classes => classes.AssignableToAny(Contracts), publicOnly: true)
        .AsSelf()
        .WithTransientLifetime());

    private void Make(PluginFile plugin, ServiceProvider provider, Type type)
    {
        try
        {
            _parts.Add((plugin, provider.GetRequiredService(type)));
        }
        catch (Exception e)
        {
            Report(plugin, $"{type.Name} cannot be made: {Words(e)}");
        }
    }

    private void Report(PluginFile plugin, string reason) => _problems.Add(new(plugin.Name, plugin.Path, reason));

    private static string Words(Exception e) => e switch
    {
        ReflectionTypeLoadException { LoaderExceptions: [{ } first, ..] } => Words(first),
        TypeInitializationException or TargetInvocationException when e.InnerException is { } inner => Words(inner),
        _ => e.Message.Split('\n')[0].TrimEnd(),
    };
}
