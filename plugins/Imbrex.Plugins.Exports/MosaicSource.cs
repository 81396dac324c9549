using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using NetVips;

namespace Imbrex.Plugins.Exports;

/// <summary>
/// A merged picture as a libvips image that is read from top to bottom, so that memory stays bounded. It outlives every image made from it.
/// </summary>
internal sealed class MosaicSource : IDisposable
{
    private readonly WatchedImage _watched;
    private readonly MosaicTiffStream _stream;

    public MosaicSource(IMosaicImage picture)
    {
        _watched = new(picture);
        _stream = new(_watched);
        // libvips reads damaged files in silence unless told to fail on the first error.
        Image = Image.NewFromStream(_stream, access: Enums.Access.Sequential, failOn: Enums.FailOn.Error);
    }

    public Image Image { get; }

    /// <summary>Runs what evaluates an image made from this one.</summary>
    /// <param name="last">The most downstream image.</param>
    /// <param name="write">Writes it.</param>
    /// <param name="progress">Receives the done part, 0 to 1.</param>
    /// <param name="cancellation">Is heard between two strips of the picture.</param>
    public void Run(Image last, Action write, IProgress<double> progress, CancellationToken cancellation)
    {
        cancellation.ThrowIfCancellationRequested();
        _watched.Cancellation = cancellation;
        last.SetProgress(new Percent(progress), cancellation);
        try
        {
            write();
        }
        catch (VipsException e)
        {
            cancellation.ThrowIfCancellationRequested();
            // libvips knows only that a reading failed; the picture knows why.
            if (_watched.Fault is { } fault)
                System.Runtime.ExceptionServices.ExceptionDispatchInfo.Throw(fault);
            throw new InputException($"The imaging library could not write the picture: {e.Message.Trim()}", null, "Check the free space of the disk and the picture's colour profile.", e);
        }
        cancellation.ThrowIfCancellationRequested();
        progress.Report(1);
    }

    public void Dispose()
    {
        Image.Dispose();
        _stream.Dispose();
    }

    private sealed class Percent(IProgress<double> progress) : IProgress<int>
    {
        public void Report(int value) => progress.Report(value / 100.0);
    }

    /// <summary>Remembers why a reading failed, because exceptions do not cross the native library.</summary>
    private sealed class WatchedImage(IMosaicImage picture) : IMosaicImage
    {
        public Exception? Fault { get; private set; }
        public CancellationToken Cancellation { get; set; }
        public int Width => picture.Width;
        public int Height => picture.Height;
        public int Bands => picture.Bands;
        public ReadOnlyMemory<byte> IccProfile => picture.IccProfile;
        public double PixelsPerMm => picture.PixelsPerMm;

        public void ReadBlock(int x, int y, int width, int height, Span<ushort> samples)
        {
            try
            {
                Cancellation.ThrowIfCancellationRequested();
                picture.ReadBlock(x, y, width, height, samples);
            }
            catch (Exception e)
            {
                Fault ??= e;
                throw;
            }
        }
    }
}
