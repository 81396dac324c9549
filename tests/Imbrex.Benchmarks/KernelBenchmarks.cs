using BenchmarkDotNet.Attributes;
using Imbrex.Engine.Blending;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Resampling;

namespace Imbrex.Benchmarks;

/// <summary>The inner loops, on one block of 512 x 512 pixels and one thread.</summary>
[MemoryDiagnoser]
public class KernelBenchmarks
{
    private const int Side = 512;

    private readonly Planar _source = Planar.Allocate(Side + 16, Side + 16, 3);
    private readonly Planar _target = Planar.Allocate(Side, Side, 3);
    private readonly float[] _half = new float[Side * Side / 4];
    private readonly float[] _line = new float[Side];
    private readonly GrayImage _block = new(96, 96);
    private readonly GrayImage _other = new(128, 128);

    [GlobalSetup]
    public void Fill()
    {
        var random = new Random(1);
        foreach (float[] pixels in new[] { _source.Pixels, _block.Pixels, _other.Pixels })
        {
            for (int i = 0; i < pixels.Length; i++)
                pixels[i] = random.NextSingle() * 65535;
        }
    }

    [Benchmark]
    public void ResampleShifted() => Resampler.Resample(_source, _target, new RigidMap(6.3, 7.6, 0));

    [Benchmark]
    public void ResampleTurned() => Resampler.Resample(_source, _target, new RigidMap(5.3, 4.6, 0.004));

    [Benchmark]
    public void ReducePyramid() => Pyramid.Reduce(_target.Pixels, Side, Side, _half, _line);

    [Benchmark]
    public void ExpandPyramid() => Pyramid.AddExpanded(_half, Side, Side, 1, _target.Pixels.AsSpan(0, Side * Side), _line);

    [Benchmark]
    public double Correlate() => CrossCorrelation.Coefficient(_block, 0, 0, 96, 96, _other, 16, 16);
}
