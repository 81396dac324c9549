namespace Imbrex.Sdk;

/// <summary>
/// Something the user can mend: what was wrong, where, and what to do. The program prints the three and exits with
/// <see cref="ExitCode"/>; no stack trace is shown.
/// </summary>
/// <remarks>Whoever detects the fault writes the message; callers let it pass.</remarks>
public abstract class ImbrexException : Exception
{
    private protected ImbrexException(string what, string? where, string? remedy, Exception? inner)
        : base(what, inner)
    {
        Where = where;
        Remedy = remedy;
    }

    /// <summary>File, line, tile or field that the message speaks of, or null.</summary>
    public string? Where { get; }

    /// <summary>What the user can do about it, or null.</summary>
    public string? Remedy { get; }

    /// <summary>The program's exit code for this kind of fault.</summary>
    public abstract int ExitCode { get; }
}

/// <summary>Usage, unreadable input or an output that cannot be written: exit code 1.</summary>
public sealed class InputException : ImbrexException
{
    /// <summary>Makes the exception.</summary>
    /// <param name="what">What was wrong, one sentence with the offending value in it.</param>
    /// <param name="where">File, line, tile or field.</param>
    /// <param name="remedy">What to do.</param>
    /// <param name="inner">The technical cause, shown only with <c>--debug</c>.</param>
    public InputException(string what, string? where = null, string? remedy = null, Exception? inner = null)
        : base(what, where, remedy, inner)
    {
    }

    /// <inheritdoc/>
    public override int ExitCode => 1;
}

/// <summary>Well-formed input that a rule refuses: exit code 2.</summary>
public sealed class RefusalException : ImbrexException
{
    /// <summary>Makes the exception.</summary>
    /// <param name="what">Which rule refuses, and the number that fails.</param>
    /// <param name="where">File, line, tile or field.</param>
    /// <param name="remedy">The nearest thing that would work.</param>
    /// <param name="inner">The technical cause, shown only with <c>--debug</c>.</param>
    public RefusalException(string what, string? where = null, string? remedy = null, Exception? inner = null)
        : base(what, where, remedy, inner)
    {
    }

    /// <inheritdoc/>
    public override int ExitCode => 2;
}
