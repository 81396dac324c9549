using System.Collections.Concurrent;
using System.Reflection;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Plugins;

/// <summary>
/// Calls into a part of a plugin that did not come with the program. What hangs, throws what is not meant for the user, or gives back nothing is told under the part's and the plugin's name, and is
/// not called again for the rest of the run.
/// </summary>
/// <param name="part">The part's name.</param>
/// <param name="plugin">The plugin.</param>
/// <param name="limits">How long calls may take.</param>
/// <param name="report">Takes what the part is left out for.</param>
internal sealed class PartGuard(string part, PluginFile plugin, PluginLimits limits, Action<PluginProblem> report)
{
    private const string Remedy = "Tell the plugin's author, or use another part.";

    private readonly ConcurrentDictionary<int, (string Call, long Since)> _running = new();
    private volatile string? _fault;

    /// <summary>A call that may take its time, on a thread of its own.</summary>
    /// <param name="name">The call, as the author knows it.</param>
    /// <param name="call">The call.</param>
    /// <exception cref="InputException">It failed, now or before.</exception>
    public T Work<T>(string name, Func<T?> call)
        where T : class => Call(name, () => Patience.Wait(call, limits.Work)) ?? throw Failed($"{name} returned nothing.", null);

    /// <summary>A call that takes microseconds: no thread is changed for it. <see cref="Watch"/> notices one that does not come back.</summary>
    public T Quick<T>(string name, Func<T> call)
    {
        int thread = Environment.CurrentManagedThreadId;
        _running[thread] = (name, Environment.TickCount64);
        try
        {
            return Call(name, call);
        }
        finally
        {
            _running.TryRemove(thread, out _);
        }
    }

    /// <summary>Does work that makes quick calls, and goes on without it should one of them hang.</summary>
    /// <exception cref="InputException">A call hangs.</exception>
    public T Watch<T>(Func<T> work) => Patience.Watch(work, () =>
    {
        long now = Environment.TickCount64;
        return _running.Values.FirstOrDefault(call => now - call.Since > limits.Kinematics.TotalMilliseconds) is { Call: { } name } ? Failed(Late(name, limits.Kinematics), null) : null;
    });

    /// <summary>Something that the part gave back makes no sense.</summary>
    public InputException Failed(string how, Exception? cause)
    {
        if (_fault is null)
        {
            _fault = how;
            report(new(plugin.Name, plugin.Path, $"'{part}' failed. {how}"));
        }
        return new($"The part '{part}' of the plugin {plugin.Name} failed. {how} It is left out for the rest of this run.", plugin.Path, Remedy, cause);
    }

    /// <exception cref="InputException">The part has failed before.</exception>
    public void Demand()
    {
        if (_fault is { } fault)
            throw new InputException($"The part '{part}' of the plugin {plugin.Name} is left out for the rest of this run. {fault}", plugin.Path, Remedy);
    }

    /// <summary>What a hanging call did, in words.</summary>
    public static string Late(string name, TimeSpan limit) => FormattableString.Invariant($"{name} did not return within {limit.TotalSeconds:0.##} s.");

    /// <summary>What an exception says, in one line.</summary>
    public static string Words(Exception e) => e is TypeInitializationException or TargetInvocationException && e.InnerException is { } inner ? Words(inner) : $"{e.GetType().Name}: {e.Message.Split('\n')[0].TrimEnd()}";

    private T Call<T>(string name, Func<T> call)
    {
        Demand();
        try
        {
            return call();
        }
        catch (TimeoutException)
        {
            throw Failed(Late(name, limits.Work), null);
        }
        catch (Exception e) when (e is not (ImbrexException or OperationCanceledException))
        {
            throw Failed(Words(e), e);
        }
    }
}
