namespace Imbrex.Engine.Registration;

/// <summary>Small pictures of what frames show, freed of everything smooth: detail tells views apart, and smooth sky is alike everywhere.</summary>
internal static class SmallView
{
    /// <summary>Half the side of the box whose mean is taken off, px.</summary>
    private const int Reach = 2;

    /// <summary>By how much two equal views may be shifted, px.</summary>
    private const int Radius = 2;

    /// <summary>The view that a larger picture gives.</summary>
    /// <param name="picture">The picture.</param>
    /// <param name="side">The longer side to come near to, by a whole factor, px.</param>
    public static GrayImage Of(IGreyPicture picture, int side)
    {
        int factor = Math.Max(1, Math.Max(picture.Width, picture.Height) / side);
        var small = new GrayImage(picture.Width / factor, picture.Height / factor);
        for (int y = 0; y < small.Height; y++)
        {
            using GreyPart part = picture.Read(new(0, y * factor, picture.Width, factor));
            for (int x = 0; x < small.Width; x++)
                small.Pixels[y * small.Width + x] = Mean(part, new(x * factor, y * factor, factor, factor));
        }
        return Detail(small);
    }

    /// <summary>What is left of a small picture when each pixel loses the mean of its neighbourhood.</summary>
    public static GrayImage Detail(GrayImage small)
    {
        const int Side = 2 * Reach + 1;
        using GreyPart whole = GreyPart.Of(small);
        var detail = new GrayImage(small.Width, small.Height);
        for (int i = 0; i < detail.Pixels.Length; i++)
            detail.Pixels[i] = small.Pixels[i] - Mean(whole, new(i % small.Width - Reach, i / small.Width - Reach, Side, Side));
        return detail;
    }

    /// <summary>How well two views correlate where they fit best, a little shifted; 0 where they are not of one size.</summary>
    public static double Likeness(GrayImage a, GrayImage b) =>
        (a.Width, a.Height) == (b.Width, b.Height) ? CrossCorrelation.Search(a, 0, 0, a.Width, a.Height, b, 0, 0, Radius).Coefficient : 0;

    // Over what the part has of a block.
    private static float Mean(GreyPart part, Block block)
    {
        Block all = part.Area;
        int x0 = Math.Max(all.X, block.X), x1 = Math.Min(all.X + all.Width, block.X + block.Width);
        int y0 = Math.Max(all.Y, block.Y), y1 = Math.Min(all.Y + all.Height, block.Y + block.Height);
        double sum = 0;
        for (int row = y0; row < y1; row++)
        {
            foreach (float pixel in part.Row(x0, row, x1 - x0))
                sum += pixel;
        }
        return (float)(sum / ((x1 - x0) * (double)(y1 - y0)));
    }
}
