using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Registration;

/// <summary>One worker's memory for comparing frames. It is used again from block to block and from pair to pair, and only ever grows.</summary>
internal sealed class MatchBench
{
    private double[] _meanSums = [];
    private int[] _meanCounts = [];
    private float[] _template = [], _window = [], _around = [], _warped = [];
    private PairSums[] _sums = [];

    public MatchBench() => Fit = new(Model);

    /// <summary>The block that is looked for.</summary>
    public BlockModel Model { get; } = new();

    /// <summary>Its fit.</summary>
    public BlockFit Fit { get; }

    /// <summary>The resampler's memory.</summary>
    public TwoPassBench Passes { get; } = new();

    /// <summary>Room for a block of the first frame; whoever needs more puts a longer array there.</summary>
    public ref float[] Template => ref _template;

    /// <summary>Room for what the second frame may show of it.</summary>
    public ref float[] Window => ref _window;

    /// <summary>Room for the part of that which is searched.</summary>
    public float[] Around(int length) => Room(ref _around, length);

    /// <summary>Room for the block as the second frame shows it.</summary>
    public float[] Warped(int length) => Room(ref _warped, length);

    /// <summary>Room for so many sums.</summary>
    public Span<PairSums> Sums(int length) => Room(ref _sums, length).AsSpan(0, length);

    /// <summary>A strip of the first frame, reduced.</summary>
    public Masked Strip { get; } = new();

    /// <summary>What the second frame shows of it, reduced.</summary>
    public Masked Beside { get; } = new();

    /// <summary>Room for so many sums of pixels and for as many counts.</summary>
    public (double[] Sums, int[] Counts) Means(int length) => (Room(ref _meanSums, length), Room(ref _meanCounts, length));

    /// <summary>An array of at least some length, replaced where it is too short; what it holds is anything.</summary>
    public static T[] Room<T>(ref T[] held, int length) => held.Length >= length ? held : held = new T[length];
}
