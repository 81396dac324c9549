namespace Imbrex.Engine.Photometry;

/// <summary>Mean linear light (R, G, B) of one patch in two frames, and where it lies in each, px from the centre of the upright frame.</summary>
/// <param name="InA">Light in the first frame.</param>
/// <param name="InB">Light in the second frame.</param>
/// <param name="Sigma">Standard deviation of ln(light in A / light in B) by the patch's own noise; 0 where a channel could not be compared.</param>
/// <param name="Ax">Place in the first frame, across.</param>
/// <param name="Ay">Place in the first frame, down.</param>
/// <param name="Bx">Place in the second frame, across.</param>
/// <param name="By">Place in the second frame, down.</param>
internal readonly record struct PatchLight(double[] InA, double[] InB, double[] Sigma, double Ax, double Ay, double Bx, double By)
{
    /// <summary>Whether all channels could be compared.</summary>
    public bool IsWhole => Array.TrueForAll(Sigma, sigma => sigma > 0);
}

/// <summary>What one pair of frames shows of the same places.</summary>
/// <param name="A">Index of the first frame.</param>
/// <param name="B">Index of the second frame.</param>
/// <param name="Patches">The places.</param>
internal readonly record struct PairLight(int A, int B, IReadOnlyList<PatchLight> Patches);
