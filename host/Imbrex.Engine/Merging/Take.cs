using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Merging;

/// <summary>The frames of one merge on their way through the stages.</summary>
internal sealed class Take : IDisposable
{
    private readonly MergeRequest _request;
    private readonly MergeInputs _inputs;
    private readonly SearchWindow _window;
    private readonly List<PlacedFrame> _frames = [];
    private readonly List<StoredPyramid> _pyramids = [];
    private readonly List<(string Sha256, SeriesPart? Series)> _files = [];

    /// <summary>Begins with what was checked; nothing is read yet.</summary>
    public Take(MergeRequest request, MergeInputs inputs)
    {
        (_request, _inputs) = (request, inputs);
        ISensor sensor = request.Plan.TheSensor();
        (double tolerance, double angle) = Tolerances(request);
        double radius = Math.Sqrt((double)sensor.WidthPx * sensor.WidthPx + (double)sensor.HeightPx * sensor.HeightPx) / 2;
        _window = new(Math.Max(tolerance * inputs.Format.PxPerMm, 1), Math.Max(angle, 0.01) * (Math.PI / 180), radius);
    }

    public IReadOnlyList<PlacedFrame> Frames => _frames;

    /// <summary>Each tile's hash, and what is told of a series.</summary>
    public IReadOnlyList<(string Sha256, SeriesPart? Series)> Files => _files;

    /// <summary>Whether there are flat fields or a dark frame to be read.</summary>
    public bool HasKnownLight => _request.Flats.Count > 0 || _request.Dark is not null;

    private IReadOnlyList<TileSource> Sources => _inputs.Sources;

    // How the body stood for each frame, by the plan.
    private IReadOnlyList<Turn> BodyTurns => [.. Sources.Select(source => Turns.FromDegrees(source.Tile.TurnDeg))];

    private FrameStances Stances => new(BodyTurns, _window.Radius);

    private LightSearch Search => new(_request.SameExposure, SeekShading: !_inputs.Known.HasFlats);

    /// <summary>The tolerances in force, mm in any direction and degrees: what was asked for, or what the kit says, or what is assumed of a back.</summary>
    public static (double Position, double Angle) Tolerances(MergeRequest request)
    {
        Margins usual = request.Plan.Kit is { } kit ? Margins.Of(kit.Back) : Margins.Unknown;
        return (request.ToleranceMm ?? usual.Position.Worst, request.AngularToleranceDeg ?? usual.Angle);
    }

    /// <summary>Makes every tile's plain rows readable, hashes its file and reduces it for the coarse search.</summary>
    public int Import(ScratchFolder scratch, IProgress<double> progress, CancellationToken cancellation)
    {
        int done = 0;
        var read = new (Frame Frame, StoredPyramid Pyramid, string Hash, SeriesPart? Series)[Sources.Count];
        try
        {
            WorkerCrew.Run(_request.Workers, Sources.Count, () => 0, (_, i) =>
            {
                (read[i].Frame, read[i].Series) = TileImport.Import(Sources[i], i, _request, _inputs.Light, scratch, cancellation);
                int coarsest = Registrar.CoarsestLevel(_window);
                (GrayPyramid pyramid, read[i].Hash) = read[i].Series is { } series
                    ? (GrayPyramid.Of(read[i].Frame, coarsest, cancellation), series.Frames[0].Sha256)
                    : GrayPyramid.WithHash(read[i].Frame, Sources[i].Files[0].Path, coarsest, cancellation);
                if (read[i].Series is null)
                    _request.Accepted(Sources[i].Files[0].Path, read[i].Hash, MergeWords.FrameOf(Sources[i].Tile.Id));
                read[i].Pyramid = new(ReducedFile(scratch, i), pyramid);
                progress.Report(Interlocked.Increment(ref done) / (double)Sources.Count);
            }, cancellation);
        }
        finally
        {
            // What was opened before a failure is closed with the take.
            for (int i = 0; i < read.Length; i++)
            {
                if (read[i].Frame is { } frame)
                {
                    TilePart tile = Sources[i].Tile;
                    _frames.Add(new(tile.Id, frame, Nominal(_inputs.Format, tile))
                    {
                        Body = new(tile.TurnDeg, tile.BackTurned == true),
                        Usable = _inputs.Known.Usable(tile, _inputs.Format),
                    });
                }
                if (read[i].Pyramid is { } pyramid)
                    _pyramids.Add(pyramid);
            }
        }
        _files.AddRange(read.Select(r => (r.Hash, r.Series)));
        return Sources.Count;
    }

    /// <summary>Reads the flat fields and the dark frame.</summary>
    public int ReadKnownLight(ScratchFolder scratch, CancellationToken cancellation)
    {
        _inputs.Known.Read(scratch, cancellation);
        return _request.Flats.Count;
    }

    /// <summary>Turns over the frames whose files lie about their orientation, and says so.</summary>
    public int Orient(ScratchFolder scratch, List<FindingPart> findings, CancellationToken cancellation)
    {
        bool[] settled = [.. _frames.Select(f => _request.Orientation.ContainsKey(f.Id) || _request.Orientation.ContainsKey(""))];
        bool[] turned = OrientationChoice.Find(_frames, _pyramids, _window, settled, cancellation);
        for (int i = 0; i < turned.Length; i++)
        {
            if (!turned[i])
                continue;
            _frames[i].Frame.TurnOver();
            _pyramids[i].Dispose();
            _pyramids[i] = new(ReducedFile(scratch, i), GrayPyramid.Of(_frames[i].Frame, Registrar.CoarsestLevel(_window), cancellation));
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
        (double axisX, double axisY) = _inputs.Format.ToPixel(Movements.PupilFoot(_request.Plan));
        var axis = new LensAxis(axisX, axisY, _inputs.Format.PxPerMm);
        RegistrationResult result = Registrar.Register(_frames, _pyramids, _window, axis, _request.Workers, progress, cancellation);
        var registered = new Registered(_frames, result, SharedArea.Find(_frames, result.Solution.Placements, FineSearch.LeastSide));
        registered.AddFindings(findings);
        findings.AddRange(SuspectFrames.Explain(_frames, _pyramids, registered.Placements, registered.Untied));
        ClosePyramids();
        return registered;
    }

    /// <summary>Finds how much each frame's light must be raised or lowered.</summary>
    public Evened EvenLight(Registered registered, CancellationToken cancellation)
    {
        var pairs = new PairLight[registered.Areas.Count];
        WorkerCrew.Run(_request.Workers, pairs.Length, () => 0,
            (_, i) => pairs[i] = SharedLight.Measure(registered.Areas[i], _frames, registered.Placements, _inputs.Light), cancellation);
        FrameStances stances = Stances with { Known = [.. Sources.Select((source, i) => _inputs.Known.Of(source.Tile, registered.Placements[i], _inputs.Format))] };
        return Evened.Solve(stances, pairs, _inputs.Light, Search);
    }

    /// <summary>Says what was done to the light.</summary>
    public void AddLightFindings(Evened evened, Highlights highlights, List<FindingPart> findings)
    {
        LightFindings.AddExposure(_frames, evened, findings);
        LightFindings.AddShading(Stances, _request.Plan.TheSensor(), evened, Search, findings);
        LightFindings.AddGlare(_frames, evened, findings);
        LightFindings.AddOpenings(_frames, _request.Plan.Picture?.Aperture is not null, findings);
        LightFindings.AddHighlights(_frames, highlights, findings);
    }

    /// <summary>Finds what becomes of light that evening out raises above white.</summary>
    public Highlights FindHighlights(Evened evened, CancellationToken cancellation) =>
        Highlights.Find([.. _frames.Select(frame => frame.Frame)], evened.Corrections, _inputs.Light, _request.Workers, cancellation);

    /// <summary>How every frame's light is evened out.</summary>
    public IReadOnlyList<Evening> Evenings(Evened evened, Highlights highlights)
    {
        IReadOnlyList<HighlightTone> tones = highlights.Tones(_inputs.Light);
        return [.. evened.Corrections.Select((correction, i) => new Evening(_inputs.Light, correction, tones[i]))];
    }

    /// <summary>Finds where the seams run and what moved.</summary>
    public FoundSeams FindSeams(ScratchFolder scratch, Canvas canvas, Registered registered, IReadOnlyList<Evening> evenings, IProgress<double> progress, CancellationToken cancellation)
    {
        using var shelf = new CellShelf(scratch.File("cells.raw"), CellShelf.MostHeldFor(_request.Workers));
        return SeamFinder.Find(_frames, registered.Placements, evenings, canvas.Width, canvas.Height, shelf, _request.Workers, progress, cancellation);
    }

    /// <summary>The frames as they go into the picture.</summary>
    public IReadOnlyList<FrameSampler> Samplers(Registered registered, IReadOnlyList<Evening> evenings) =>
        [.. _frames.Select((frame, i) => new FrameSampler(frame.Frame, registered.Placements[i], evenings[i]))];

    public void Dispose()
    {
        ClosePyramids();
        foreach (PlacedFrame frame in _frames)
            frame.Frame.Dispose();
    }

    private static string ReducedFile(ScratchFolder scratch, int tile) => scratch.File($"reduced-{tile}.raw");

    private void ClosePyramids()
    {
        _pyramids.ForEach(pyramid => pyramid.Dispose());
        _pyramids.Clear();
    }

    // Where the plan puts a tile's upright frame.
    private static Placement Nominal(Canvas canvas, TilePart tile)
    {
        (double x, double y) = canvas.ToPixel(new(tile.XMm, tile.YMm));
        return new(x, y, (tile.RotationDeg ?? 0) * (Math.PI / 180));
    }
}
