using Imbrex.Sdk;

namespace Imbrex.Hosting.Plugins;

/// <summary>Calls into a part. Whatever it throws that is not meant for the user is told under the part's and the plugin's name.</summary>
internal sealed record PartGuard(string Part, PluginFile Plugin)
{
    /// <summary>A call that must return something.</summary>
    public T Call<T>(Func<T> call)
        where T : notnull => Read(call) ?? throw Failed("It returned nothing.", null);

    /// <summary>A call that may return nothing.</summary>
    public T Read<T>(Func<T> call)
    {
        try
        {
            return call();
        }
        catch (Exception e) when (IsForeign(e))
        {
            throw Failed($"{e.GetType().Name}: {e.Message}", e);
        }
    }

    private static bool IsForeign(Exception e) => e is not (ImbrexException or OperationCanceledException);

    private InputException Failed(string how, Exception? cause) => new(
        $"The part '{Part}' of the plugin {Plugin.Name} failed. {how}", Plugin.Path, "Tell the plugin's author, or use another part.", cause);
}
