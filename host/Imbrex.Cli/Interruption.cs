using System.Runtime.InteropServices;

namespace Imbrex.Cli;

/// <summary>Ctrl-C and a request to terminate: the first one cancels the work in good order, the second one ends the process.</summary>
internal sealed class Interruption : IDisposable
{
    private readonly CancellationTokenSource _source = new();
    private readonly PosixSignalRegistration[] _registrations;

    public Interruption() =>
        _registrations = [PosixSignalRegistration.Create(PosixSignal.SIGINT, Handle), PosixSignalRegistration.Create(PosixSignal.SIGTERM, Handle)];

    public CancellationToken Token => _source.Token;

    public void Dispose()
    {
        foreach (PosixSignalRegistration registration in _registrations)
            registration.Dispose();
        _source.Dispose();
    }

    private void Handle(PosixSignalContext signal)
    {
        if (_source.IsCancellationRequested)
            return;
        signal.Cancel = true;
        // Off this thread: callbacks of the token may take their time, and the second signal must still be heard.
        _ = _source.CancelAsync();
    }
}
