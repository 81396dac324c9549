using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>The installed packages: a folder for each, and the lock file, which knows every file by its hash. The lock is read when it is first needed.</summary>
public sealed class PackageStore
{
    private const string NewPrefix = ".new-", OldPrefix = ".old-", BusyName = ".busy";

    private readonly string? _folder;
    private Lazy<IReadOnlyList<LockedPackage>> _packages;

    /// <summary>Makes the store.</summary>
    /// <param name="folder">Its folder, which need not exist; null where there is no place that belongs to the user alone, and nothing is installed.</param>
    public PackageStore(string? folder)
    {
        _folder = folder;
        _packages = new(Load);
    }

    /// <summary>What is installed, in the order of names.</summary>
    /// <exception cref="InputException">The lock file is damaged.</exception>
    public IReadOnlyList<LockedPackage> Packages => _packages.Value;

    /// <summary>The scripts of a kind, in the order of their packages.</summary>
    public IEnumerable<InstalledScript> Scripts(string kind) =>
        from package in Packages
        from script in package.Scripts ?? []
        where script.Kind == kind
        select new InstalledScript(package, script, FolderOf(package.Name));

    /// <summary>The package of a name, or null.</summary>
    public LockedPackage? Find(string name) => Packages.FirstOrDefault(package => package.Name == name);

    /// <summary>Where a package's files are.</summary>
    public string FolderOf(string name) => Path.Combine(Folder, name);

    /// <summary>What is not as it was installed, as a sentence; null where everything is.</summary>
    public string? Damage(LockedPackage package)
    {
        ArgumentNullException.ThrowIfNull(package);
        return PackageIntegrity.Damage(FolderOf(package.Name), package.Files);
    }

    /// <summary>Takes a package away.</summary>
    /// <exception cref="InputException">It is not there, or cannot be removed.</exception>
    public LockedPackage Remove(string name)
    {
        using FileStream busy = Occupy();
        LockedPackage package = Find(name) ?? throw NotInstalled(name);
        // Out of the lock first: files that no lock knows are used by nobody.
        Save([.. Packages.Where(other => other.Name != name)]);
        Discard(SetAside(name));
        return package;
    }

    /// <summary>The error for a package that is not there.</summary>
    public InputException NotInstalled(string name)
    {
        string known = Packages.Count == 0 ? "No package is installed." : $"Installed are: {string.Join(", ", Packages.Select(package => package.Name))}.";
        return new($"There is no package '{name}'.", name, known);
    }

    /// <summary>Unpacks a verified package into a folder of its own that nothing is used from yet.</summary>
    /// <exception cref="InputException">The folder cannot be written to.</exception>
    internal StagedPackage Stage(Package package, CancellationToken cancellation)
    {
        FileStream busy = Occupy();
        string folder = Path.Combine(Folder, NewPrefix + Guid.NewGuid().ToString("n"));
        try
        {
            Directory.CreateDirectory(folder);
            package.Unpack(folder, cancellation);
            return new(this, package, folder, busy);
        }
        catch (Exception e)
        {
            Discard(folder);
            busy.Dispose();
            if (e is IOException or UnauthorizedAccessException)
                throw OutputFile.NotWritable(folder, e);
            throw;
        }
    }

    /// <summary>Puts a staged folder in its place, and the package into the lock.</summary>
    internal void Commit(string staged, LockedPackage package)
    {
        string? old = SetAside(package.Name);
        try
        {
            Directory.Move(staged, FolderOf(package.Name));
            Save([.. Packages.Where(other => other.Name != package.Name).Append(package).OrderBy(one => one.Name, StringComparer.Ordinal)]);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or InputException)
        {
            // The lock has not changed: what it knows must be there.
            Discard(FolderOf(package.Name));
            if (old is not null)
                Directory.Move(old, FolderOf(package.Name));
            if (e is InputException)
                throw;
            throw OutputFile.NotWritable(FolderOf(package.Name), e);
        }
        Discard(old);
    }

    internal static void Discard(string? folder)
    {
        try
        {
            if (folder is not null && Directory.Exists(folder))
                Directory.Delete(folder, recursive: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // In use, on Windows. The next change of the packages tries again; its name says that nothing is used from it.
        }
    }

    private string Folder => _folder ?? throw new InputException("There is no folder that belongs to you alone.", null, "Name one with the environment variable IMBREX_PACKAGES.");

    private string LockFile => Path.Combine(Folder, LockDocument.FileName);

    private IReadOnlyList<LockedPackage> Load()
    {
        if (_folder is null || !File.Exists(LockFile))
            return [];
        try
        {
            return JsonDocuments.Read<LockDocument>(LockFile, LockDocument.SchemaName).Packages;
        }
        catch (InputException e)
        {
            throw new InputException($"The lock file of the packages cannot be read. {e.Message}", e.Where, "Remove it, and add your packages again: nothing is used that it does not know.", e);
        }
    }

    private void Save(IReadOnlyList<LockedPackage> packages)
    {
        OutputFile.Write(LockFile, JsonDocuments.ToBytes(new LockDocument { Schema = LockDocument.SchemaName, Packages = packages }));
        _packages = new(packages);
    }

    private string? SetAside(string name)
    {
        if (!Directory.Exists(FolderOf(name)))
            return null;
        string old = Path.Combine(Folder, OldPrefix + Guid.NewGuid().ToString("n"));
        try
        {
            Directory.Move(FolderOf(name), old);
            return old;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new InputException($"The files of {name} cannot be moved: {e.Message}", FolderOf(name), "End other runs of the program that use it, and try again.", e);
        }
    }

    // One process at a time changes packages; it also clears away what one that was ended in the middle has left.
    private FileStream Occupy()
    {
        OutputFile.MakeFolder(Folder);
        FileStream busy;
        try
        {
            busy = new(Path.Combine(Folder, BusyName), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new InputException("The packages cannot be changed now.", Folder,
                "Another run of the program may be changing them: wait for it. Otherwise check the rights to the folder.", e);
        }
        foreach (string prefix in new[] { NewPrefix, OldPrefix })
        {
            foreach (string left in Directory.EnumerateDirectories(Folder, prefix + "*"))
                Discard(left);
        }
        // Another process may have changed the lock since it was read.
        _packages = new(Load);
        return busy;
    }
}
