namespace Imbrex.Engine.Photometry;

/// <summary>
/// CIEDE2000 between two colours of CIE L*a*b*, with all parametric factors 1: G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000
/// color-difference formula: implementation notes, supplementary test data, and mathematical observations", Color Research and
/// Application 30 (1), 21-30, 2005. The imaging library's own version misses 4 of that paper's 34 pairs, one of them by 4.7.
/// </summary>
public static class ColourDifference
{
    private const double Pow25To7 = 6103515625;

    /// <summary>The difference; about 1 is just visible side by side.</summary>
    public static double Ciede2000((double L, double A, double B) first, (double L, double A, double B) second)
    {
        double meanChroma = (Math.Sqrt(first.A * first.A + first.B * first.B) + Math.Sqrt(second.A * second.A + second.B * second.B)) / 2;
        double stretch = 1 + 0.5 * (1 - Sevenths(meanChroma));
        (double c1, double h1) = Polar(stretch * first.A, first.B);
        (double c2, double h2) = Polar(stretch * second.A, second.B);
        bool grey = c1 * c2 == 0;

        double turn = h2 - h1;
        if (grey)
            turn = 0;
        else if (Math.Abs(turn) > 180)
            turn -= Math.Sign(turn) * 360;
        double dL = second.L - first.L, dC = c2 - c1, dH = 2 * Math.Sqrt(c1 * c2) * Sin(turn / 2);

        double l = (first.L + second.L) / 2, c = (c1 + c2) / 2, h = MeanHue(h1, h2, grey);
        double t = 1 - 0.17 * Cos(h - 30) + 0.24 * Cos(2 * h) + 0.32 * Cos(3 * h + 6) - 0.2 * Cos(4 * h - 63);
        double fromMiddle = (l - 50) * (l - 50);
        double sL = 1 + 0.015 * fromMiddle / Math.Sqrt(20 + fromMiddle), sC = 1 + 0.045 * c, sH = 1 + 0.015 * c * t;
        double blue = (h - 275) / 25;
        double rotation = -2 * Sevenths(c) * Sin(60 * Math.Exp(-blue * blue));
        (double x, double y, double z) = (dL / sL, dC / sC, dH / sH);
        return Math.Sqrt(x * x + y * y + z * z + rotation * y * z);
    }

    private static double MeanHue(double h1, double h2, bool grey)
    {
        double sum = h1 + h2;
        if (grey)
            return sum;
        if (Math.Abs(h1 - h2) <= 180)
            return sum / 2;
        return sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2;
    }

    private static (double Chroma, double Hue) Polar(double a, double b)
    {
        double hue = Math.Atan2(b, a) * (180 / Math.PI);
        return (Math.Sqrt(a * a + b * b), hue < 0 ? hue + 360 : hue);
    }

    private static double Sevenths(double chroma)
    {
        double power = Math.Pow(chroma, 7);
        return Math.Sqrt(power / (power + Pow25To7));
    }

    private static double Sin(double degrees) => Math.Sin(degrees * (Math.PI / 180));

    private static double Cos(double degrees) => Math.Cos(degrees * (Math.PI / 180));
}
