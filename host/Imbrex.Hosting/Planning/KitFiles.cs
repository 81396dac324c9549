using Imbrex.Engine.Documents;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Planning;

/// <summary>Kits and plans on disk. The path of an adapter script in them counts from their own folder, so that the two can be moved and shared together.</summary>
public static class KitFiles
{
    /// <summary>Reads a kit.</summary>
    /// <exception cref="InputException">It cannot be read or breaks a rule.</exception>
    public static KitDocument ReadKit(string path) => Found(JsonDocuments.Read<KitDocument>(path, KitDocument.SchemaName), path);

    /// <summary>Reads a plan.</summary>
    /// <exception cref="InputException">It cannot be read or breaks a rule.</exception>
    public static PlanDocument ReadPlan(string path)
    {
        PlanDocument plan = JsonDocuments.Read<PlanDocument>(path, PlanDocument.SchemaName);
        return plan.Kit is { } kit ? plan with { Kit = Found(kit, path) } : plan;
    }

    /// <summary>A plan as it is to be written to a file.</summary>
    public static byte[] ToBytes(PlanDocument plan, string path) => JsonDocuments.ToBytes(plan.Kit is { } kit && AdapterScripts.IsScript(kit.Back.Adapter)
        ? plan with { Kit = With(kit, Path.GetRelativePath(Folder(path), Path.GetFullPath(kit.Back.Adapter)).Replace('\\', '/')) }
        : plan);

    // As short as the user would write it, since messages show it.
    private static KitDocument Found(KitDocument kit, string path)
    {
        if (!AdapterScripts.IsScript(kit.Back.Adapter) || Path.IsPathRooted(kit.Back.Adapter))
            return kit;
        string script = Path.GetFullPath(Path.Combine(Folder(path), kit.Back.Adapter));
        return With(kit, Path.IsPathRooted(path) ? script : Path.GetRelativePath(Environment.CurrentDirectory, script));
    }

    private static KitDocument With(KitDocument kit, string adapter) => kit with { Back = kit.Back with { Adapter = adapter } };

    private static string Folder(string path) => Path.GetDirectoryName(Path.GetFullPath(path))!;
}
