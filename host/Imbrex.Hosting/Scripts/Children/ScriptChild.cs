using System.Runtime.CompilerServices;
using Imbrex.Hosting.Scripts.Gates;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// The other side of the wall: what the program does when it has been started as a child of itself. It reads requests from its input and
/// answers on its output until the input ends.
/// </summary>
public static class ScriptChild
{
    /// <summary>The word that starts the program as a child; not for people.</summary>
    public const string Word = "--script-child";

    // Deep enough for any honest script, and so shallow that an endless recursion is soon at its end.
    private const int StackBytes = 1 << 20;

    /// <summary>Serves one role until the input ends.</summary>
    /// <returns>The exit code.</returns>
    public static int Serve(string word)
    {
        if (!Enum.TryParse(word, ignoreCase: true, out ChildRole role))
            return 1;
        using Stream input = Console.OpenStandardInput(), output = Console.OpenStandardOutput();
        ChildWalls walls = Confinement.Confine(role);
        Frames.Write(output, [(byte)walls]);
        if (role == ChildRole.Adapt)
            return ServeAdapters(input, output);
        while (Frames.Read(input) is { } request)
            Frames.Write(output, role switch
            {
                ChildRole.Execute => Execute(request),
                ChildRole.Compile => Compile(request),
                _ => [(byte)WallTrial.Try()],
            });
        return 0;
    }

    // All on one thread with a stack of its own: to start a thread takes longer than most answers.
    private static int ServeAdapters(Stream input, Stream output)
    {
        using var server = new AdapterServer();
        var thread = new Thread(() =>
        {
            while (Frames.Read(input) is { } question)
                Frames.Write(output, server.Answer(question));
        }, StackBytes);
        thread.Start();
        thread.Join();
        return 0;
    }

    // In a method of its own: a child that runs scripts never loads the compiler.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static byte[] Compile(byte[] request)
    {
        try
        {
            (ScriptSource source, ScriptKind kind) = ChildMessages.Compile(request);
            // With a script that has the user's own rights this child has nothing to do, whoever asks.
            return kind.IsConfined()
                ? ChildMessages.Compiled(new RoslynScriptCompiler().Compile(source, kind))
                : ChildMessages.Fault(new(false, "A batch script is not compiled here.", null, 0, null));
        }
        catch (ImbrexException e)
        {
            return ChildMessages.Fault(new(e is RefusalException, e.Message, e.Where, 0, e.Remedy));
        }
        catch (Exception e) when (e is InsufficientExecutionStackException or OutOfMemoryException)
        {
            return ChildMessages.Fault(new(false, "The script is too much for the compiler.", null, 0, "Write it in smaller steps."));
        }
    }

    private static byte[] Execute(byte[] message)
    {
        (byte[] assembly, byte[] symbols, LayoutScriptRequest request) = ChildMessages.Execute(message);
        if (MetadataGate.Refuse(assembly, AllowList.Shared) is { } refused)
            return ChildMessages.Fault(new(false, $"The compiled script would use {refused}, which a layout or adapter script may not.", null, 0, null));
        byte[] answer = [];
        var thread = new Thread(() => answer = Answer(assembly, symbols, request), StackBytes);
        thread.Start();
        thread.Join();
        return answer;
    }

    private static byte[] Answer(byte[] assembly, byte[] symbols, LayoutScriptRequest request)
    {
        try
        {
            return ChildMessages.Result(PlainResult.Checked(ScriptRun.Execute(assembly, symbols, request), request.IsProbe));
        }
        catch (OutOfMemoryException)
        {
            return ChildMessages.Fault(ScriptFaults.TooMuchMemory);
        }
        catch (Exception e)
        {
            return ChildMessages.Fault(ScriptFaults.Plain(e));
        }
    }
}
