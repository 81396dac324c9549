using Imbrex.Engine.Blending;

namespace Imbrex.Engine.Seams;

/// <summary>Something that moved between two exposures: frames that show the same place disagree there.</summary>
/// <param name="Box">Where, canvas px.</param>
/// <param name="Frames">Indices of the frames that disagree with another one there, rising.</param>
/// <param name="Shown">Index of the frame that is shown there.</param>
/// <param name="Strength">Root mean square difference over the place, as a part of the range of codes.</param>
/// <param name="Cells">How many cells it fills.</param>
internal sealed record MovingThing(CanvasArea Box, IReadOnlyList<int> Frames, int Shown, double Strength, int Cells);
