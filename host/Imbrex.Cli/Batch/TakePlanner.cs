using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Hosting.Batch;
using Imbrex.Hosting.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Cli.Batch;

/// <summary>Plans a take as <c>imbrex plan</c> does.</summary>
internal sealed class TakePlanner(CommandContext context) : ITakePlanner
{
    public Task<PlanDocument> PlanAsync(BatchPlanRequest request, CancellationToken cancellation)
    {
        PlanResult result = new KitPlanner(context.Catalogue).Plan(new()
        {
            Layout = request.Layout,
            Kit = KitFiles.ReadKit(request.KitFile),
            Format = request.Format,
            Parameters = request.Parameters,
        });
        if (result.Verdict.Accepted)
            return Task.FromResult(result.Plan!);
        string? remedy = result.Verdict.Remedies.Count > 0 ? result.Verdict.Remedies[0].Text : null;
        throw new RefusalException(result.Verdict.Summary, request.Layout, remedy);
    }
}
