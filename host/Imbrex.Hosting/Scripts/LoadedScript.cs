using System.Reflection;
using System.Runtime.Loader;

namespace Imbrex.Hosting.Scripts;

/// <summary>A compiled script in a load context of its own, which goes away with it.</summary>
internal sealed class LoadedScript : IDisposable
{
    // What Roslyn calls the class of a first submission and the method that makes and runs it.
    private const string SubmissionClass = "Submission#0";
    private const string SubmissionFactory = "<Factory>";

    /// <summary>The name under which debug symbols know every script: where the file lies must not change what is compiled.</summary>
    internal const string DocumentName = "script.csx";

    private readonly Func<object?[], Task<object?>> _factory;

    public LoadedScript(byte[] image, byte[] debug)
    {
        using var assembly = new MemoryStream(image);
        using var symbols = new MemoryStream(debug);
        // The SDK is not found in this context and comes from the default one: the script's words are the host's.
        Type submission = Context.LoadFromStream(assembly, symbols).GetType(SubmissionClass, throwOnError: true)!;
        _factory = submission.GetMethod(SubmissionFactory, BindingFlags.Static | BindingFlags.Public)!.CreateDelegate<Func<object?[], Task<object?>>>();
    }

    /// <summary>Where the script lives.</summary>
    public AssemblyLoadContext Context { get; } = new("script", isCollectible: true);

    /// <summary>Runs the script once.</summary>
    /// <param name="globals">The object whose members are in scope.</param>
    /// <returns>The value of the final expression, or null.</returns>
    // The first slot holds the globals, the second takes the submission's own object.
    public Task<object?> RunAsync(object globals) => _factory([globals, null]);

    public void Dispose() => Context.Unload();
}
