namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>How a call ended.</summary>
internal abstract record Outcome<T>
{
    /// <summary>It gave a result.</summary>
    public sealed record Result(T Value) : Outcome<T>;

    /// <summary>It threw.</summary>
    public sealed record Thrown(Exception Exception) : Outcome<T>;

    /// <summary>It did not end in time. Its thread is left behind: nothing can stop it.</summary>
    public sealed record Endless : Outcome<T>;
}

/// <summary>Calls what may never return.</summary>
internal static class Call
{
    public static Outcome<T> Within<T>(TimeSpan patience, Func<T> work)
    {
        Outcome<T>? outcome = null;
        var thread = new Thread(() => outcome = Caught(work)) { IsBackground = true };
        thread.Start();
        return thread.Join(patience) ? outcome! : new Outcome<T>.Endless();
    }

    public static Outcome<T> Caught<T>(Func<T> work)
    {
        try
        {
            return new Outcome<T>.Result(work());
        }
#pragma warning disable CA1031 // Whatever a stranger's part throws is what is to be told.
        catch (Exception e)
        {
            return new Outcome<T>.Thrown(e);
        }
#pragma warning restore CA1031
    }
}
