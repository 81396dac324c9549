namespace Imbrex.Engine.Seams;

/// <summary>Detail of a frame over 3 x 3 patches: one patch says too little.</summary>
internal static class PatchSoftness
{
    /// <summary>Mean logarithm of detail for every patch of a frame; not a number where nothing near was read.</summary>
    public static float[] Smooth(CellPicture picture, DetailMap map)
    {
        float[] logs = [.. Enumerable.Range(0, picture.Patches.Length).Select(map.Log)];
        var smooth = new float[logs.Length];
        int across = picture.PatchesAcross, down = across == 0 ? 0 : logs.Length / across;
        for (int row = 0; row < down; row++)
        {
            for (int column = 0; column < across; column++)
                smooth[row * across + column] = Mean(logs, across, down, column, row);
        }
        return smooth;
    }

    private static float Mean(float[] logs, int across, int down, int column, int row)
    {
        float sum = 0;
        int count = 0;
        for (int y = Math.Max(0, row - 1); y <= Math.Min(down - 1, row + 1); y++)
        {
            for (int x = Math.Max(0, column - 1); x <= Math.Min(across - 1, column + 1); x++)
            {
                float log = logs[y * across + x];
                if (float.IsNaN(log))
                    continue;
                sum += log;
                count++;
            }
        }
        return count == 0 ? float.NaN : sum / count;
    }
}
