using System.Runtime.InteropServices;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Tests.Intake;

/// <summary>Frames made of samples in memory, with their files, gone after the test.</summary>
internal sealed class RawFrames : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("imbrex-raw-");
    private readonly List<Frame> _frames = [];

    /// <summary>A frame of interleaved RGB samples, as stored.</summary>
    public Frame Of(int width, int height, ushort[] rgb, int quarterTurns = 0)
    {
        string path = Path.Combine(_folder.FullName, $"{_frames.Count}.raw");
        File.WriteAllBytes(path, MemoryMarshal.AsBytes(rgb.AsSpan()).ToArray());
        var frame = new Frame(path, 0, width, height, quarterTurns);
        _frames.Add(frame);
        return frame;
    }

    /// <summary>A frame whose pixels are a function of column, row and channel.</summary>
    public Frame Of(int width, int height, Func<int, int, int, double> value, int quarterTurns = 0)
    {
        var rgb = new ushort[width * height * 3];
        for (int i = 0; i < rgb.Length; i++)
            rgb[i] = (ushort)Math.Clamp(Math.Round(value(i / 3 % width, i / 3 / width, i % 3)), 0, 65535);
        return Of(width, height, rgb, quarterTurns);
    }

    public void Dispose()
    {
        _frames.ForEach(frame => frame.Dispose());
        _folder.Delete(recursive: true);
    }
}
