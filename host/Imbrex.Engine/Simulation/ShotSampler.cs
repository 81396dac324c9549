namespace Imbrex.Engine.Simulation;

/// <summary>Looks at a scene as one shot does: through its grid, with its walkers, its defocus and its shake. Serves one thread.</summary>
internal sealed class ShotSampler(IScene scene, Shot shot)
{
    private readonly SceneSampler _sampler = new(shot.Walkers.Count == 0 ? scene : new PeopledScene(scene, shot.Walkers), shot.Blur);
    private float[] _once = [];

    /// <summary>Samples a block of the frame.</summary>
    /// <param name="block">The block.</param>
    /// <param name="rgbx">Receives four floats per pixel, row after row.</param>
    public void Sample(PixelBlock block, Span<float> rgbx)
    {
        FrameGrid grid = shot.Light.Grid;
        (double shakeX, double shakeY) = shot.Shake;
        double length = Math.Sqrt(shakeX * shakeX + shakeY * shakeY);
        if (length == 0)
        {
            _sampler.Sample(grid, block, rgbx);
            return;
        }
        // While the shutter is open the body moves evenly: the mean of what it sees at steps of no more than half a pixel.
        int steps = (int)Math.Ceiling(2 * length) + 1;
        if (_once.Length < rgbx.Length)
            _once = new float[rgbx.Length];
        Span<float> once = _once.AsSpan(0, rgbx.Length);
        rgbx.Clear();
        for (int step = 0; step < steps; step++)
        {
            double part = (step + 0.5) / steps - 0.5;
            _sampler.Sample(grid.Moved(part * shakeX, part * shakeY), block, once);
            for (int i = 0; i < once.Length; i++)
                rgbx[i] += once[i] / steps;
        }
    }
}
