namespace Imbrex.Engine.Simulation;

/// <summary>
/// Another scene without what is finer than about 0.4 cycles per pixel, as a lens stopped down leaves it. A photograph taken pixel for pixel has detail up to the
/// limit of its pixels, which no frame between those pixels can record: it would look different in every frame.
/// </summary>
/// <param name="scene">The scene.</param>
public sealed class SoftScene(IScene scene) : DrawnScene
{
    /// <inheritdoc/>
    protected override void Draw(PixelBlock block, Span<float> rgbx) => scene.Render(block, rgbx);
}
