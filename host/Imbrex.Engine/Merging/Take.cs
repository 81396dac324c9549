using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Sdk.Geometry;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Merging;

/// <summary>The frames of one merge on their way through the stages.</summary>
internal sealed class Take : IDisposable
{
    /// <summary>Light seldom drifts by more during a take; a frame that is off by more was exposed otherwise, stops.</summary>
    private const double OddExposure = 1.0 / 3;

    private readonly MergeRequest _request;
    private readonly Canvas _canvas;
    private readonly IReadOnlyList<TileSource> _sources;
    private readonly FrameLight _light;
    private readonly KnownLight _known;
    private readonly SearchWindow _window;
    private readonly List<PlacedFrame> _frames = [];
    private readonly List<GrayPyramid> _pyramids = [];
    private readonly List<(string Sha256, SeriesPart? Series)> _files = [];

    public Take(MergeRequest request, Canvas canvas, IReadOnlyList<TileSource> sources, FrameLight light, KnownLight known)
    {
        (_request, _canvas, _sources, _light, _known) = (request, canvas, sources, light, known);
        ISensor sensor = request.Plan.TheSensor();
        (double tolerance, double angle) = Tolerances(request);
        double radius = Math.Sqrt((double)sensor.WidthPx * sensor.WidthPx + (double)sensor.HeightPx * sensor.HeightPx) / 2;
        _window = new(Math.Max(tolerance * canvas.PxPerMm, 1), Math.Max(angle, 0.01) * (Math.PI / 180), radius);
    }

    public IReadOnlyList<PlacedFrame> Frames => _frames;

    private List<string> LeftOut => [.. _request.Plan.Tiles.Select(tile => tile.Id).Except(_sources.Select(source => source.Tile.Id))];

    // How the body stood for each frame, by the plan.
    private IReadOnlyList<Turn> BodyTurns => [.. _sources.Select(source => Turns.FromDegrees(source.Tile.TurnDeg))];

    private FrameStances Stances => new(BodyTurns, _window.Radius);

    private LightSearch Search => new(_request.SameExposure, SeekShading: !_known.HasFlats);

    /// <summary>The tolerances in force: what was asked for, or what the kit says, or what is assumed of a back.</summary>
    public static Margins Tolerances(MergeRequest request)
    {
        Margins usual = request.Plan.Kit is { } kit ? Margins.Of(kit.Back) : Margins.Unknown;
        return new(request.ToleranceMm ?? usual.Position, request.AngularToleranceDeg ?? usual.Angle);
    }

    /// <summary>Makes every tile's plain rows readable, hashes its file and reduces it for the coarse search.</summary>
    public int Import(ScratchFolder scratch, IProgress<double> progress, CancellationToken cancellation)
    {
        int done = 0;
        var read = new (Frame Frame, GrayPyramid Pyramid, string Hash, SeriesPart? Series)[_sources.Count];
        try
        {
            WorkerCrew.Run(_request.Workers, _sources.Count, () => 0, (_, i) =>
            {
                (read[i].Frame, read[i].Series) = TileImport.Import(_sources[i], i, _request, _light, scratch, cancellation);
                int coarsest = Registrar.CoarsestLevel(_window);
                if (read[i].Series is { } series)
                    (read[i].Pyramid, read[i].Hash) = (GrayPyramid.Of(read[i].Frame, coarsest, cancellation), series.Frames[0].Sha256);
                else
                    (read[i].Pyramid, read[i].Hash) = GrayPyramid.WithHash(read[i].Frame, _sources[i].Files[0].Path, coarsest, cancellation);
                progress.Report(Interlocked.Increment(ref done) / (double)_sources.Count);
            }, cancellation);
        }
        finally
        {
            // What was opened before a failure is closed with the take.
            for (int i = 0; i < read.Length; i++)
            {
                if (read[i].Frame is { } frame)
                    _frames.Add(new(_sources[i].Tile.Id, frame, Nominal(_canvas, _sources[i].Tile)) { Body = new(_sources[i].Tile.TurnDeg, _sources[i].Tile.BackTurned == true) });
            }
        }
        _pyramids.AddRange(read.Select(r => r.Pyramid));
        _files.AddRange(read.Select(r => (r.Hash, r.Series)));
        return _sources.Count;
    }

    /// <summary>Turns over the frames whose files lie about their orientation, and says so.</summary>
    public int Orient(List<FindingPart> findings, CancellationToken cancellation)
    {
        bool[] settled = [.. _frames.Select(f => _request.Orientation.ContainsKey(f.Id) || _request.Orientation.ContainsKey(""))];
        bool[] turned = OrientationChoice.Find(_frames, _pyramids, _window, settled, cancellation);
        for (int i = 0; i < turned.Length; i++)
        {
            if (!turned[i])
                continue;
            _frames[i].Frame.TurnOver();
            _pyramids[i] = GrayPyramid.Of(_frames[i].Frame, Registrar.CoarsestLevel(_window), cancellation);
            findings.Add(new()
            {
                Kind = "orientation",
                Tile = _frames[i].Id,
                Text = $"The file of tile {_frames[i].Id} stood upside down against its neighbours and was turned by 180 degrees.",
            });
        }
        return turned.Count(t => t);
    }

    /// <summary>Finds where the frames lie, and names those that nothing holds.</summary>
    public Registered Register(List<FindingPart> findings, IProgress<double> progress, CancellationToken cancellation)
    {
        var axis = new LensAxis(_canvas.Axis.X, _canvas.Axis.Y, _canvas.PxPerMm);
        RegistrationResult result = Registrar.Register(_frames, _pyramids, _window, axis, _request.Workers, progress, cancellation);
        var registered = new Registered(_frames, result, SharedArea.Find(_frames, result.Solution.Placements, FineSearch.LeastSide));
        registered.AddFindings(findings);
        findings.AddRange(SuspectFrames.Explain(_frames, _pyramids, registered.Placements, registered.Untied));
        _pyramids.Clear();
        return registered;
    }

    /// <summary>Finds how much each frame's light must be raised or lowered.</summary>
    public Evened EvenLight(Registered registered, CancellationToken cancellation)
    {
        var pairs = new PairLight[registered.Areas.Count];
        WorkerCrew.Run(_request.Workers, pairs.Length, () => 0,
            (_, i) => pairs[i] = SharedLight.Measure(registered.Areas[i], _frames, registered.Placements, _light), cancellation);
        FrameStances stances = Stances with { Known = [.. _sources.Select((source, i) => _known.Of(source.Tile, registered.Placements[i], _canvas))] };
        return Evened.Solve(stances, pairs, _light, Search);
    }

    /// <summary>Names the frames that were exposed otherwise than the rest.</summary>
    public void AddExposureFindings(Evened evened, List<FindingPart> findings)
    {
        double[] stops = [.. evened.Gains.Select(gain => -gain.Average(Math.Log2))];
        double usual = stops.Median();
        for (int i = 0; i < stops.Length; i++)
        {
            double off = stops[i] - usual;
            if (Math.Abs(off) < OddExposure)
                continue;
            findings.Add(new()
            {
                Kind = "exposure",
                Tile = _frames[i].Id,
                Text = FormattableString.Invariant($"The frame of tile {_frames[i].Id} is {Math.Abs(off):0.0} stops {(off < 0 ? "darker" : "brighter")} than most; it was evened out."),
            });
        }
    }

    /// <summary>Says what was done to the light.</summary>
    public void AddLightFindings(Evened evened, Highlights highlights, List<FindingPart> findings)
    {
        LightFindings.AddShading(Stances, _request.Plan.TheSensor(), evened, Search, findings);
        LightFindings.AddGlare(_frames, evened, findings);
        LightFindings.AddHighlights(_frames, highlights, findings);
    }

    /// <summary>Finds what becomes of light that evening out raises above white.</summary>
    public Highlights FindHighlights(Evened evened, CancellationToken cancellation) =>
        Highlights.Find([.. _frames.Select(frame => frame.Frame)], evened.Corrections, _light, _request.Workers, cancellation);

    /// <summary>How every frame's light is evened out.</summary>
    public IReadOnlyList<Evening> Evenings(Evened evened, Highlights highlights)
    {
        IReadOnlyList<HighlightTone> tones = highlights.Tones(_light);
        return [.. evened.Corrections.Select((correction, i) => new Evening(_light, correction, tones[i]))];
    }

    /// <summary>Finds where the seams run and what moved.</summary>
    public FoundSeams FindSeams(Canvas canvas, Registered registered, IReadOnlyList<Evening> evenings, IProgress<double> progress, CancellationToken cancellation) =>
        SeamFinder.Find(_frames, registered.Placements, evenings, canvas.Width, canvas.Height, _request.Workers, progress, cancellation);

    /// <summary>The frames as they go into the picture.</summary>
    public IReadOnlyList<FrameSampler> Samplers(Registered registered, IReadOnlyList<Evening> evenings) =>
        [.. _frames.Select((frame, i) => new FrameSampler(frame.Frame, registered.Placements[i], evenings[i]))];

    /// <summary>Everything that was found, as the document to be written.</summary>
    /// <param name="canvas">The picture's own canvas.</param>
    /// <param name="registered">Where the frames lie on it.</param>
    /// <param name="evened">Their gains.</param>
    /// <param name="findings">What was found.</param>
    /// <param name="highlights">What became of their brightest light.</param>
    /// <param name="levels">Levels of the blending pyramid.</param>
    public MosaicDocument Describe(Canvas canvas, Registered registered, Evened evened, Highlights highlights, IReadOnlyList<FindingPart> findings, int levels)
    {
        (double tolerance, double angle) = Tolerances(_request);
        return new()
        {
            Schema = MosaicDocument.SchemaName,
            PxPerMm = canvas.PxPerMm,
            WidthPx = canvas.Width,
            HeightPx = canvas.Height,
            LeftMm = canvas.LeftMm,
            TopMm = canvas.TopMm,
            Master = MergeRunner.MasterName,
            Motion = registered.Motion,
            MotionDetail = registered.MotionDetail,
            Shading = DescribeShading(evened),
            Highlights = LightFindings.Describe(_frames, highlights),
            Options = _known.Describe(new()
            {
                ToleranceMm = tolerance,
                AngularToleranceDeg = angle,
                Orientation = _request.Orientation.Count == 0 ? null : _request.Orientation,
                BlendLevels = levels,
                MostBlendLevels = _request.BlendLevels,
                Without = LeftOut is { Count: > 0 } left ? left : null,
                Holes = MergeWords.Of(_request.Holes),
                Crop = MergeWords.Of(_request.Crop),
                Series = MergeWords.Of(_request.Series),
                SameExposure = _request.SameExposure ? true : null,
            }),
            Seed = 0,
            Tiles = [.. _frames.Select((frame, i) => DescribeTile(i, registered, evened))],
            Pairs = registered.DescribePairs(evened),
            Findings = findings,
            Plan = _request.Plan,
            Versions = new Dictionary<string, string>
            {
                ["imbrex"] = _request.ProgramVersion,
                ["libvips"] = FormattableString.Invariant($"{NetVips.NetVips.Version(0)}.{NetVips.NetVips.Version(1)}.{NetVips.NetVips.Version(2)}"),
            },
        };
    }

    public void Dispose()
    {
        foreach (PlacedFrame frame in _frames)
            frame.Frame.Dispose();
    }

    // Where the plan puts a tile's upright frame.
    private static Placement Nominal(Canvas canvas, TilePart tile)
    {
        (double x, double y) = canvas.ToPixel(new(tile.XMm, tile.YMm));
        return new(x, y, (tile.RotationDeg ?? 0) * (Math.PI / 180));
    }

    private static MosaicShadingPart DescribeShading(Evened evened) => evened.Fit.Shading is not { } shading
        ? new() { Model = "none" }
        : new()
        {
            Model = "sensor",
            Terms = SensorShading.Terms,
            R = shading.Coefficients[0],
            G = shading.Coefficients[1],
            B = shading.Coefficients[2],
            FStatistic = evened.Fit.ShadingF,
        };

    private MosaicTilePart DescribeTile(int i, Registered registered, Evened evened)
    {
        Placement p = registered.Placements[i];
        (double sigmaPx, double sigmaDeg) = registered.Sigma(i);
        (double scale, WarpPart? warp) = registered.Shape(i);
        return new()
        {
            Id = _frames[i].Id,
            File = Path.GetRelativePath(_request.OutputFolder, _sources[i].Files[0].Path).Replace('\\', '/'),
            Sha256 = _files[i].Sha256,
            Series = _files[i].Series,
            XPx = p.X,
            YPx = p.Y,
            RotationDeg = Sdk.Geometry.Angles.Wrap(p.Angle * (180 / Math.PI) + 90 * _frames[i].Frame.QuarterTurns),
            Scale = scale,
            Warp = warp,
            StoredTurned = _sources[i].Files[0].Width == _request.Plan.TheSensor().WidthPx ? null : true,
            Gain = evened.Gains[i],
            Glare = evened.Glare?[i],
            SigmaPx = sigmaPx,
            SigmaDeg = sigmaDeg,
        };
    }
}
