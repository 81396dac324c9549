namespace Imbrex.Engine.Blending;

/// <summary>Neighbouring pixels of a row that show the same frame.</summary>
/// <param name="Label">The frame.</param>
/// <param name="Start">First pixel.</param>
/// <param name="Length">Number of pixels.</param>
internal readonly record struct LabelRun(byte Label, int Start, int Length);

/// <summary>The runs of a row of labels, from left to right.</summary>
internal ref struct LabelRuns(ReadOnlySpan<byte> labels)
{
    private readonly ReadOnlySpan<byte> _labels = labels;

    public LabelRun Current { get; private set; }

    public readonly LabelRuns GetEnumerator() => this;

    public bool MoveNext()
    {
        int start = Current.Start + Current.Length;
        if (start >= _labels.Length)
            return false;
        int length = _labels[start..].IndexOfAnyExcept(_labels[start]);
        Current = new(_labels[start], start, length < 0 ? _labels.Length - start : length);
        return true;
    }
}
