using Imbrex.Engine.Registration;
using NetVips;

namespace Imbrex.Engine.Intake;

/// <summary>Finds neighbours in a folder that show the same view: the release was pressed twice.</summary>
internal static class SameView
{
    /// <summary>Longer side of the reduced pictures, px.</summary>
    private const int Side = 160;

    /// <summary>Most pictures that are looked at: reading them takes time, and this is a hint only.</summary>
    private const int MostPictures = 200;

    /// <summary>Two views of a scene whose frames overlap by half correlate by half at most.</summary>
    private const double LeastCoefficient = 0.9;

    /// <summary>Says which neighbours show the same, in words; pictures that cannot be read are passed over.</summary>
    public static IReadOnlyList<string> Among(IReadOnlyList<string> files)
    {
        var found = new List<string>();
        GrayImage? before = null;
        for (int i = 0; i < Math.Min(files.Count, MostPictures); i++)
        {
            GrayImage? now = Reduced(files[i]);
            if (before is not null && now is not null && SmallView.Likeness(before, now) >= LeastCoefficient)
                found.Add($"{Path.GetFileName(files[i - 1])} and {Path.GetFileName(files[i])} show the same view");
            before = now;
        }
        return found;
    }

    private static GrayImage? Reduced(string path)
    {
        try
        {
            using Image thumbnail = Image.Thumbnail(path, Side, height: Side, size: Enums.Size.Down, noRotate: true, failOn: Enums.FailOn.Error);
            using Image grey = thumbnail.Colourspace(Enums.Interpretation.Grey16);
            using Image band = grey[0];
            using Image plain = band.Cast(Enums.BandFormat.Float);
            return SmallView.Detail(new(plain.Width, plain.Height, plain.WriteToMemory<float>()));
        }
        catch (VipsException)
        {
            return null;
        }
    }
}
