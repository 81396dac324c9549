using System.Text;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Scripts.Children;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Cli.Tests.Isolation;

/// <summary>Runs scripts in children of the built program, as the program does.</summary>
public sealed class BehindWalls : IDisposable
{
    public static LayoutRequest Request { get; } = new() { Sensor = new(36, 24), Format = new(90, 44), Overlap = 2.4 };

    internal static ChildProgram Program { get; } = new(Host(), Imbrex.Program);

    private readonly ChildCompiler _compiler = new(Program, new RoslynScriptCompiler(), TimeSpan.FromSeconds(60));

    // Less than users get, so that a loop without end does not hold the tests up.
    private readonly ScriptAllowance _allowance = new(TimeSpan.FromSeconds(4));
    private readonly ChildExecutor _executor;
    private readonly ChildAdapters _adapters;

    public BehindWalls()
    {
        _executor = new(Program, TimeSpan.FromSeconds(2), _allowance) { KeepsSpare = true };
        _adapters = new(Program, TimeSpan.FromSeconds(2), _allowance);
    }

    public CompiledScript Compile(string text, ScriptKind kind = ScriptKind.Layout) => _compiler.Compile(ScriptSource.Parse("work/mine.csx", Encoding.UTF8.GetBytes(text)), kind);

    public ScriptAdapter Adapter(string text) => Adapter(Compile(text, ScriptKind.Adapter), CancellationToken.None);

    // With each script a new plan begins.
    public ScriptAdapter Adapter(CompiledScript script, CancellationToken cancellation)
    {
        _allowance.Renew();
        return new(script, _adapters, cancellation);
    }

    public LayoutScriptResult Run(CompiledScript script, CancellationToken cancellation = default) => _executor.Run(script, new(Request, new Dictionary<string, string>()), cancellation);

    public LayoutScriptResult Run(string text)
    {
        _allowance.Renew();
        return Run(Compile(text));
    }

    public void KillAdapterChild() => _adapters.KillChild();

    public void Dispose()
    {
        _compiler.Dispose();
        _executor.Dispose();
        _adapters.Dispose();
    }

    private static string Host() => Path.ChangeExtension(Imbrex.Program, OperatingSystem.IsWindows() ? ".exe" : null);
}
