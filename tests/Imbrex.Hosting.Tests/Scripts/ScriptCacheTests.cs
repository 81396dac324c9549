using System.Runtime.CompilerServices;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Scripts.Gates;
using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

public sealed class ScriptCacheTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();
    private readonly CountingCompiler _compiler = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void A_script_is_compiled_once()
    {
        Assert.Equal(3, Arrange("Name(\"mine\"); Tile(3, 0);"));
        Assert.Equal(3, Arrange("Name(\"mine\"); Tile(3, 0);"));
        Assert.Equal(1, _compiler.Runs);

        Assert.Equal(4, Arrange("Name(\"mine\"); Tile(4, 0);"));
        Assert.Equal(2, _compiler.Runs);
        Assert.Equal(2, Directory.GetFiles(_folder.Path).Length);
    }

    [Fact]
    public void A_damaged_entry_is_made_anew()
    {
        Arrange("Name(\"mine\"); Tile(3, 0);");
        string entry = Directory.GetFiles(_folder.Path).Single();
        byte[] whole = File.ReadAllBytes(entry);
        byte[] flipped = [.. whole];
        flipped[whole.Length / 2] ^= 1;
        foreach (byte[] damaged in new byte[][] { flipped, whole[..100], [], [.. whole, 0] })
        {
            File.WriteAllBytes(entry, damaged);
            int before = _compiler.Runs;

            Assert.Equal(3, Arrange("Name(\"mine\"); Tile(3, 0);"));
            Assert.Equal(before + 1, _compiler.Runs);
            Assert.Equal(whole, File.ReadAllBytes(entry));
        }
    }

    // The checksum is right: whoever can write here can compute it.
    [Theory]
    [InlineData(-1)]
    [InlineData(int.MinValue)]
    [InlineData(int.MaxValue)]
    [InlineData(1_000_000)]
    public void An_entry_that_lies_about_its_length_is_made_anew(int length)
    {
        Arrange("Name(\"mine\"); Tile(3, 0);");
        string entry = Directory.GetFiles(_folder.Path).Single();
        byte[] honest = File.ReadAllBytes(entry);
        byte[] forged = [.. honest];
        System.Buffers.Binary.BinaryPrimitives.WriteInt32LittleEndian(forged.AsSpan(32), length);
        System.Security.Cryptography.SHA256.HashData(forged.AsSpan(32), forged);
        File.WriteAllBytes(entry, forged);

        Assert.Equal(3, Arrange("Name(\"mine\"); Tile(3, 0);"));
        Assert.Equal(honest, File.ReadAllBytes(entry));
    }

    [Fact]
    public void A_file_without_an_end_is_not_read_to_its_end()
    {
        if (!File.Exists("/dev/zero"))
            Assert.Skip("There is no such file here.");
        Assert.Contains("more than 65536 bytes", Assert.Throws<Sdk.InputException>(() => ScriptSource.Read("/dev/zero")).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_whole_entry_of_anothers_making_goes_through_the_gate_and_is_made_anew()
    {
        Arrange("Name(\"mine\"); Tile(3, 0);");
        string entry = Directory.GetFiles(_folder.Path).Single();
        byte[] honest = File.ReadAllBytes(entry);
        CompiledScript other = new RoslynScriptCompiler(ScriptLayers.None)
            .Compile(ScriptSource.Parse(ScriptBench.Name, "Name(\"mine\"); Tile(Environment.ProcessId, 0);"u8.ToArray()), ScriptKind.Layout);
        new ScriptCache(_folder.Path).Keep(Path.GetFileNameWithoutExtension(entry), other.Assembly, other.Symbols);

        Assert.Equal(3, Arrange("Name(\"mine\"); Tile(3, 0);"));
        Assert.Equal(2, _compiler.Runs);
        Assert.Equal(honest, File.ReadAllBytes(entry));
    }

    [Fact]
    public void A_thousand_runs_leave_no_assembly_behind()
    {
        RunMany(1000);
        LoadedAssemblies.AssertNone(Mark);
    }

    private const string Mark = "script-of-a-thousand-runs";

    [MethodImpl(MethodImplOptions.NoInlining)]
    private static void RunMany(int times)
    {
        CompiledScript script = new RoslynScriptCompiler().Compile(ScriptSource.Parse(ScriptBench.Name, "Name(\"mine\"); Tile(3, 0);"u8.ToArray()), ScriptKind.Layout, Mark);
        for (int i = 0; i < times; i++)
            Assert.Single(ScriptRun.Execute(script.Assembly, script.Symbols, new(ScriptBench.Request, new Dictionary<string, string>())).Tiles);
    }

    [Fact]
    public void A_folder_that_cannot_be_written_to_only_costs_time()
    {
        string file = _folder.Write("occupied", "a file where the folder should be");
        var compiler = new CachedScriptCompiler(_compiler, new ScriptCache(file));
        ScriptSource source = ScriptSource.Parse(ScriptBench.Name, "Name(\"mine\"); Tile(3, 0);"u8.ToArray());

        compiler.Compile(source, ScriptKind.Layout);
        Assert.NotEmpty(compiler.Compile(source, ScriptKind.Layout).Assembly);
        Assert.Equal(2, _compiler.Runs);
    }

    [Fact]
    public void What_has_not_been_used_for_longest_goes_when_there_is_too_much()
    {
        var cache = new ScriptCache(_folder.Path, most: 10_000);
        var random = new Random(5);
        for (int i = 0; i < 200; i++)
        {
            byte[] number = new byte[32];
            random.NextBytes(number);
            string key = Convert.ToHexStringLower(number);
            cache.Keep(key, new byte[500], []);
            File.SetLastWriteTimeUtc(Path.Combine(_folder.Path, key + ".script"), DateTime.UtcNow.AddDays(-200 + i));
            if (i == 0)
                File.Move(Path.Combine(_folder.Path, key + ".script"), Path.Combine(_folder.Path, "0a.script"));
            Assert.NotNull(cache.Find("0a"));
        }
        cache.Prune();
        FileInfo[] left = new DirectoryInfo(_folder.Path).GetFiles();
        Assert.InRange(left.Sum(file => file.Length), 3_000, 10_000);
        Assert.Contains(left, file => file.Name == "0a.script");
        Assert.All(left, file => Assert.True(DateTime.UtcNow - file.LastWriteTimeUtc < TimeSpan.FromDays(20)));
    }

    [Fact]
    public void The_kind_of_script_is_part_of_the_key()
    {
        var compiler = new CachedScriptCompiler(_compiler, new ScriptCache(_folder.Path));
        ScriptSource source = ScriptSource.Parse(ScriptBench.Name, "var x = 1;"u8.ToArray());

        Assert.NotEqual(compiler.Compile(source, ScriptKind.Layout).Assembly, compiler.Compile(source, ScriptKind.Batch).Assembly);
        Assert.NotEqual(compiler.Compile(source, ScriptKind.Layout).Assembly, compiler.Compile(source, ScriptKind.Adapter).Assembly);
    }

    [Fact]
    public void The_same_text_compiles_to_the_same_bytes_wherever_it_lies()
    {
        byte[] text = "Name(\"mine\");\nTile(3, 0);"u8.ToArray();
        var compiler = new RoslynScriptCompiler();

        CompiledScript here = compiler.Compile(ScriptSource.Parse("here/a.csx", text), ScriptKind.Layout);
        CompiledScript there = compiler.Compile(ScriptSource.Parse("there/b.csx", text), ScriptKind.Layout);

        Assert.Equal(here.Assembly, there.Assembly);
        Assert.Equal(here.Symbols, there.Symbols);
    }

    [Fact]
    public void A_script_that_has_run_is_unloaded()
    {
        WeakReference context = RunAndLetGo();
        for (int i = 0; i < 20 && context.IsAlive; i++)
        {
            GC.Collect();
            GC.WaitForPendingFinalizers();
        }
        Assert.False(context.IsAlive);
    }

    [MethodImpl(MethodImplOptions.NoInlining)]
    private static WeakReference RunAndLetGo()
    {
        using var loaded = Load("Name(\"mine\"); Tile(3, 0);");
        loaded.RunAsync(new Sdk.Scripting.LayoutScript(ScriptBench.Request, new Dictionary<string, string>())).GetAwaiter().GetResult();
        return new(loaded.Context);
    }

    private static LoadedScript Load(string text) => ScriptBench.Compile(text) is var script ? new(script.Assembly, script.Symbols) : null!;

    private double Arrange(string text)
    {
        string path = _folder.Path + ".csx";
        File.WriteAllText(path, text);
        try
        {
            var compiler = new CachedScriptCompiler(_compiler, new ScriptCache(_folder.Path));
            ScriptLayout layout = new LayoutScripts(compiler, new InProcessExecutor(), CancellationToken.None).Open(path);
            return layout.Arrange(ScriptBench.Request).Single().Pose.Centre.X;
        }
        finally
        {
            File.Delete(path);
        }
    }

    private sealed class CountingCompiler : IScriptCompiler
    {
        private readonly RoslynScriptCompiler _roslyn = new();

        public int Runs { get; private set; }

        public CompiledScript Compile(ScriptSource source, ScriptKind kind)
        {
            Runs++;
            return _roslyn.Compile(source, kind);
        }
    }
}
