using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>Shoots a scene with the simulated camera, merges the frames and compares with the truth.</summary>
internal sealed class MergeBench : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("imbrex-merge-");
    private readonly IScene _scene;
    private readonly PlanDocument _plan;
    private readonly CameraFaults _faults;

    // libvips remembers pictures by their file's name; here the same name is written again and again.
    static MergeBench() => NetVips.Cache.Max = 0;

    public MergeBench(IScene scene, PlanDocument plan, CameraFaults faults)
    {
        (_scene, _plan, _faults) = (scene, plan, faults);
        var camera = new SimulatedCamera(scene, plan, faults);
        camera.Shoot(Frames);
        Truth = camera.Truth;
    }

    public PlanDocument Plan => _plan;

    public string Frames => Path.Combine(_folder.FullName, "frames");

    public string Output => Path.Combine(_folder.FullName, "out");

    public TruthDocument Truth { get; }

    public MergeResult Merge(Func<MergeRequest, MergeRequest>? adjust = null)
    {
        var request = new MergeRequest { Plan = _plan, FramesFolder = Frames, OutputFolder = Output, Workers = 2, Force = true };
        return Run(adjust?.Invoke(request) ?? request);
    }

    public static MergeResult Run(MergeRequest request) =>
        MergeRunner.Run(request, new Silent(), TimeProvider.System, TestContext.Current.CancellationToken);

    /// <summary>
    /// Peak signal to noise, encoded values, peak 65535, a border of 8 px left out, against the truth under the common motion; on a band of 24
    /// rows out of every 120, which in a grid meets level seams as well as upright ones.
    /// </summary>
    public double Psnr(MergeResult result, CommonMotion common, CameraFaults? wanted = null)
    {
        const int Border = 8, Band = 24, Every = 120;
        using Image master = Image.NewFromFile(result.MasterFile, failOn: Enums.FailOn.Error);
        var truth = new TruthPicture(_scene, Canvas.Of(_plan), wanted ?? _faults);
        double sum = 0;
        long count = 0;
        var total = new Lock();
        Parallel.For(0, (master.Height - 2 * Border - Band) / Every + 1, i =>
        {
            int y = Border + i * Every, width = master.Width - 2 * Border;
            using Image band = master.Crop(Border, y, width, Band);
            ReadOnlySpan<ushort> got = band.WriteToMemory<ushort>();
            var want = new ushort[width * Band * 3];
            truth.Read(new(Border, y, width, Band), want, common);
            double squares = 0;
            for (int k = 0; k < want.Length; k++)
            {
                double d = got[k / 3 * master.Bands + k % 3] - (double)want[k];
                squares += d * d;
            }
            lock (total)
            {
                sum += squares;
                count += want.Length;
            }
        });
        return 10 * Math.Log10(65535.0 * 65535.0 / (sum / count));
    }

    /// <summary>
    /// How the master's light differs from the wanted picture's, once the exposure that all of it has in common is taken out: standard deviation over squares of
    /// 32 px, in stops of green.
    /// </summary>
    public double LightSpread(MergeResult result, CommonMotion common, CameraFaults wanted)
    {
        const int Side = 32;
        ushort[] master = SmallTake.Pixels(result.MasterFile, out int width, out int bands);
        int height = master.Length / bands / width;
        var truth = new TruthPicture(_scene, Canvas.Of(_plan), wanted);
        var want = new ushort[Side * Side * 3];
        var stops = new List<double>();
        for (int y = 16; y + Side < height; y += 3 * Side)
        {
            for (int x = 16; x + Side < width; x += 3 * Side)
            {
                truth.Read(new(x, y, Side, Side), want, common);
                double got = 0, real = 0;
                for (int i = 0; i < Side * Side; i++)
                {
                    got += SrgbCurve.Decode16[master[((y + i / Side) * width + x + i % Side) * bands + 1]];
                    real += SrgbCurve.Decode16[want[i * 3 + 1]];
                }
                stops.Add(Math.Log2(got / real));
            }
        }
        double mean = stops.Average();
        return Math.Sqrt(stops.Average(s => (s - mean) * (s - mean)));
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private sealed class Silent : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
        }
    }
}
