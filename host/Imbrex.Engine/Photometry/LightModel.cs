namespace Imbrex.Engine.Photometry;

/// <summary>What may differ between frames; what is not among it is held at nothing.</summary>
/// <param name="Gains">The frames' exposures; without it they are known to be equal.</param>
/// <param name="Shading">Shading fixed to the sensor.</param>
/// <param name="Glare">Veiling glare, one offset for each frame.</param>
internal readonly record struct LightModel(bool Gains, bool Shading, bool Glare);

/// <summary>One channel's solution.</summary>
/// <param name="LogGains">ln of the factor that evens out each frame; mean 0 where gains are free.</param>
/// <param name="Shading">The coefficients of the shading's terms; empty where not sought.</param>
/// <param name="Glare">Light to take off each frame; empty where not sought.</param>
/// <param name="Weights">The patches' robust weights.</param>
/// <param name="SquareSum">Weighted sum of squared residuals, each in units of its own sigma.</param>
/// <param name="Unknowns">How many unknowns were sought.</param>
internal sealed record LightSolution(double[] LogGains, double[] Shading, double[] Glare, double[] Weights, double SquareSum, int Unknowns);

/// <summary>A patch with all that the solver needs to know of it for one channel.</summary>
/// <param name="A">The first frame.</param>
/// <param name="B">The second frame.</param>
/// <param name="InA">Light in the first, less what is known to lie on it.</param>
/// <param name="InB">Light in the second, likewise.</param>
/// <param name="Known">ln of the factor known for the first less that for the second.</param>
/// <param name="Sigma">Standard deviation of the logarithm of their ratio.</param>
/// <param name="Terms">The shading's terms in the first frame less those in the second.</param>
internal sealed record PatchRow(int A, int B, double InA, double InB, double Known, double Sigma, double[] Terms)
{
    /// <summary>The rows of one channel.</summary>
    /// <param name="stances">How the frames stood.</param>
    /// <param name="pairs">What the pairs share.</param>
    /// <param name="band">The channel.</param>
    public static IReadOnlyList<PatchRow> Of(FrameStances stances, IReadOnlyList<PairLight> pairs, int band)
    {
        var rows = new List<PatchRow>();
        Span<double> atA = stackalloc double[SensorShading.Terms.Count], atB = stackalloc double[SensorShading.Terms.Count];
        foreach (PairLight pair in pairs)
        {
            (LightCorrection knownA, LightCorrection knownB) = (stances.Known[pair.A], stances.Known[pair.B]);
            foreach (PatchLight patch in pair.Patches)
            {
                double a = patch.InA[band] - knownA.Offset(band, patch.Ax, patch.Ay), b = patch.InB[band] - knownB.Offset(band, patch.Bx, patch.By);
                if (patch.Sigma[band] <= 0 || a <= 0 || b <= 0)
                    continue;
                (double x, double y) = SensorShading.Place(patch.Ax, patch.Ay, stances.Turns[pair.A], stances.Radius);
                SensorShading.Evaluate(x, y, atA);
                (x, y) = SensorShading.Place(patch.Bx, patch.By, stances.Turns[pair.B], stances.Radius);
                SensorShading.Evaluate(x, y, atB);
                var terms = new double[atA.Length];
                for (int i = 0; i < terms.Length; i++)
                    terms[i] = atA[i] - atB[i];
                double known = Math.Log(knownA.Factor(band, patch.Ax, patch.Ay) / knownB.Factor(band, patch.Bx, patch.By));
                rows.Add(new(pair.A, pair.B, a, b, known, patch.Sigma[band], terms));
            }
        }
        return rows;
    }
}
