namespace Imbrex.Judging;

/// <summary>One piece of seam.</summary>
/// <param name="Contrast">Its contrast.</param>
/// <param name="Chances">The contrast of the same strips laid on squares nearby without a seam.</param>
internal sealed record SeamPiece(double Contrast, double[] Chances)
{
    /// <summary>All pieces of seam in an area, each with what chance gives it.</summary>
    /// <param name="residual">Picture less truth, row after row.</param>
    /// <param name="labels">The frame that shows at each pixel.</param>
    /// <param name="width">Columns of both.</param>
    /// <param name="height">Rows of both.</param>
    public static IEnumerable<SeamPiece> Of(float[] residual, byte[] labels, int width, int height)
    {
        int[] squares =
        [
            .. from y in Enumerable.Range(0, height / SeamContrast.Side)
               from x in Enumerable.Range(0, width / SeamContrast.Side)
               select (y * width + x) * SeamContrast.Side,
        ];
        ILookup<bool, int> plain = squares.ToLookup(at => SeamContrast.IsPlain(labels, width, at));
        return from at in plain[false]
               from piece in SeamContrast.Pieces(labels, width, at)
               select new SeamPiece(SeamContrast.Of(piece, residual, width, at), [.. plain[true].Select(other => SeamContrast.Of(piece, residual, width, other))]);
    }
}

/// <summary>How visible the seams of a picture are, and what chance gives: a seam is seen only above that.</summary>
/// <param name="Worst">Largest contrast of a piece.</param>
/// <param name="Chance">
/// What chance gives as the largest: every piece's strips are laid on a square nearby without a seam and the largest taken, many times over; the median.
/// </param>
/// <param name="MostChance">The same, of which 95 in 100 are smaller.</param>
/// <param name="Rms">Root mean square contrast of all pieces: a small error of light all along the seams shows here first.</param>
/// <param name="ChanceRms">The same by chance.</param>
internal sealed record SeamError(double Worst, double Chance, double MostChance, double Rms, double ChanceRms)
{
    private const int Rounds = 200;

    /// <summary>Sums up; null where there are no pieces, or no squares without a seam to compare them with.</summary>
    public static SeamError? Of(IReadOnlyList<SeamPiece> pieces)
    {
        SeamPiece[] compared = [.. pieces.Where(piece => piece.Chances.Length > 0)];
        if (compared.Length == 0)
            return null;
        // A seed of its own makes the same picture give the same figures.
        var random = new Random(1);
        double[] largest = [.. Enumerable.Range(0, Rounds).Select(_ => compared.Max(piece => piece.Chances[random.Next(piece.Chances.Length)])).Order()];
        return new(pieces.Max(piece => piece.Contrast), largest[Rounds / 2], largest[Rounds * 95 / 100],
            Math.Sqrt(pieces.Average(piece => piece.Contrast * piece.Contrast)),
            Math.Sqrt(compared.Average(piece => piece.Chances.Average(chance => chance * chance))));
    }
}
