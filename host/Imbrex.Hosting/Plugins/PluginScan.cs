using System.Reflection;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Microsoft.Extensions.DependencyInjection;

namespace Imbrex.Hosting.Plugins;

/// <summary>A part that has been made, with what it says of itself for each contract that it fulfils.</summary>
internal sealed record MadePart(PluginFile Plugin, object Part, PartDescription? Layout, PartDescription? Adapter, PartDescription? Export);

/// <summary>
/// Finds the parts that plugins hold, makes one of each and has it described. What fails or hangs is named and left out; the rest goes on. What came with the program is called directly.
/// </summary>
internal sealed class PluginScan(IPluginLoader loader, PluginLimits limits)
{
    private static readonly Type[] Contracts = [typeof(IMosaicLayout), typeof(IAdapterGeometry), typeof(IExportTarget)];

    private readonly List<MadePart> _parts = [];
    private readonly List<PluginProblem> _problems = [];

    /// <summary>The parts found so far.</summary>
    public IReadOnlyList<MadePart> Parts => _parts;

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
            Within(plugin, () => Registered(services, loader.Load(plugin.Path)));
        }
        catch (TimeoutException)
        {
            Report(plugin, PartGuard.Late("Its loading", limits.Make));
            return;
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
    private static IServiceCollection Registered(ServiceCollection services, Assembly assembly) => services.Scan(scan => scan
        .FromAssemblies(assembly)
        .AddClasses(classes => classes.AssignableToAny(Contracts), publicOnly: true)
        .AsSelf()
        .WithTransientLifetime());

    // What it was about when it failed or hung, the constructor with its fields or the description.
    private void Make(PluginFile plugin, ServiceProvider provider, Type type)
    {
        bool isMade = false;
        try
        {
            _parts.Add(Within(plugin, () =>
            {
                object part = provider.GetRequiredService(type);
                Volatile.Write(ref isMade, true);
                return new MadePart(plugin, part, Describe(part as IMosaicLayout, layout => layout.Description), Describe(part as IAdapterGeometry, adapter => adapter.Description),
                    Describe(part as IExportTarget, export => export.Description));
            }));
        }
        catch (TimeoutException)
        {
            Report(plugin, PartGuard.Late(Volatile.Read(ref isMade) ? $"The description of {type.Name}" : $"The constructor of {type.Name}", limits.Make) + " It is left out for the rest of this run.");
        }
        catch (Exception e)
        {
            Report(plugin, Volatile.Read(ref isMade) ? $"{type.Name} cannot say what it is: {Words(e)}" : $"{type.Name} cannot be made: {Words(e)}");
        }
    }

    private static PartDescription? Describe<T>(T? part, Func<T, PartDescription?> description)
        where T : class
    {
        if (part is null)
            return null;
        PartDescription described = description(part) ?? throw new InvalidOperationException("its description is nothing.");
        return described.Parameters.Contains(null!) ? throw new InvalidOperationException("a parameter of its description is nothing.") : described;
    }

    private T Within<T>(PluginFile plugin, Func<T> call) => plugin.IsBuiltIn ? call() : Patience.Wait(call, limits.Make);

    private void Report(PluginFile plugin, string reason) => _problems.Add(new(plugin.Name, plugin.Path, reason));

    private static string Words(Exception e) => e switch
    {
        ReflectionTypeLoadException { LoaderExceptions: [{ } first, ..] } => Words(first),
        TypeInitializationException or TargetInvocationException when e.InnerException is { } inner => Words(inner),
        _ => e.Message.Split('\n')[0].TrimEnd(),
    };
}
