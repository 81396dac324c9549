using Imbrex.Benchmarks.Children;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;

namespace Imbrex.Benchmarks.Cases;

/// <summary>Takes of tiles of 24 megapixels, merged in a process of their own; frames and result are removed afterwards.</summary>
internal static class LargeTake
{
    /// <summary>Shoots and merges a grid of tiles.</summary>
    /// <param name="columns">Tiles across.</param>
    /// <param name="rows">Tiles down.</param>
    /// <param name="megapixels">Receives the size of the result.</param>
    public static MergeOutcome Merge(int columns, int rows, out double megapixels)
    {
        PlanDocument plan = Layouts.Level(columns, rows, 6000 / 36.0);
        Canvas canvas = Canvas.Of(plan);
        megapixels = canvas.Width * (double)canvas.Height / 1e6;
        DirectoryInfo folder = Directory.CreateTempSubdirectory("imbrex-large-");
        try
        {
            OutputFile.RequireRoom(folder.FullName, columns * rows * 144_000_000L + 6_000_000 * (long)(megapixels + 1));
            new SimulatedCamera(new QuarryScene(7, canvas.Width, canvas.Height), plan, CaseList.Usual).Shoot(Path.Combine(folder.FullName, "frames"), workers: Environment.ProcessorCount);
            string planFile = Path.Combine(folder.FullName, "plan.json");
            File.WriteAllBytes(planFile, JsonDocuments.ToBytes(plan));
            return MergeChild.Start(new() { PlanFile = planFile, Frames = Path.Combine(folder.FullName, "frames"), Output = Path.Combine(folder.FullName, "out") });
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
