using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Sdk;
using Spectre.Console;

namespace Imbrex.Cli.Commands;

/// <summary>What there is to tell of a package, installed or not.</summary>
internal static class PackageInfo
{
    /// <summary>The manifest of an installed package, or null where it cannot be read.</summary>
    public static PackageDocument? Manifest(LockedPackage package, CommandContext context)
    {
        try
        {
            return JsonDocuments.Read<PackageDocument>(Path.Combine(context.Packages.FolderOf(package.Name), PackageDocument.FileName), PackageDocument.SchemaName);
        }
        catch (InputException)
        {
            return null;
        }
    }

    /// <summary>Whether and why something may run with the user's own rights.</summary>
    public static string Trust(string name, string? key, bool needsTrust, CommandContext context)
    {
        if (!needsTrust)
            return "not needed: its scripts run isolated";
        if (key is not null && context.Trust.IsTrustedAuthor(key))
            return "its author is trusted";
        return key is not null && context.Trust.IsTrusted(name, key) ? "trusted with this key" : "not trusted yet: it asks to run with your own rights";
    }

    /// <summary>What to tell of a package whose files are not as they were installed.</summary>
    public static Finding Damaged(LockedPackage package, string damage, CommandContext context) =>
        new("damaged", "warning", $"{package.Name} cannot be used. {damage}") { Where = context.Packages.FolderOf(package.Name), Remedy = PackageIntegrity.Remedy(package) };

    public static void Print(PackageFacts facts, string trust, string? folder, CommandContext context)
    {
        if (context.Terminal.Json)
            return;
        Grid grid = new Grid().AddColumn().AddColumn();
        void Row(string word, string? fact)
        {
            if (fact is not null)
                grid.AddRow(new Text(word), new Text(fact));
        }
        Row("package", $"{facts.Name} {facts.Version}, {facts.Kind}");
        Row("summary", facts.Summary);
        Row("author", facts.Author);
        Row("licence", facts.Licence);
        Row("SDK", facts.Sdk);
        Row("from", facts.Source);
        Row("SHA-256", facts.Sha256);
        Row("signed", facts.Key ?? "by nobody");
        Row("trust", trust);
        Row("drawing", facts.Drawing is { } drawing && folder is not null ? Path.Combine(folder, drawing) : facts.Drawing);
        foreach (PackageScript script in facts.Scripts ?? [])
            Row("script", $"{script.Name} ({script.Kind ?? facts.Kind}, {script.File})");
        Row("assembly", facts.Assembly);
        int longest = facts.Files.Max(file => file.Path.Length);
        foreach (LockedFile file in facts.Files)
            Row("file", $"{file.Path.PadRight(longest)}  {file.Sha256}");
        context.Terminal.Tables.Write(grid);
    }
}
