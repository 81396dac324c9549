using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Hosting.Tests.Packages;

public sealed class InstallTests : IDisposable
{
    private readonly PackageBench _bench = new();

    private string InstalledScript => Path.Combine(_bench.PackagesFolder, "bonds", "bonds-script.csx");

    public void Dispose() => _bench.Dispose();

    [Theory]
    [InlineData(null, "layout")]
    [InlineData("author", "layout")]
    [InlineData(null, "adapter")]
    [InlineData("author", "adapter")]
    public void Isolated_scripts_are_installed_without_a_question(string? key, string kind)
    {
        Installed installed = _bench.Install(_bench.Script(key, kind: kind));
        _bench.Restart();

        Assert.Equal((InstallOutcome.Added, 0), (installed.Outcome, _bench.Asked.Count));
        LockedPackage locked = Assert.Single(_bench.Store.Packages);
        Assert.Equal("Tile(0, 0);", File.ReadAllText(InstalledScript));
        Assert.Equal(("bonds-script", kind), (Assert.Single(locked.Scripts!).Name, locked.Scripts![0].Kind));
        Assert.Null(_bench.Store.Damage(locked));
        Assert.Equal(["lock.json"], Directory.EnumerateFiles(_bench.PackagesFolder).Select(Path.GetFileName).Where(name => name != ".busy"));
        Assert.Equal(["bonds"], Directory.EnumerateDirectories(_bench.PackagesFolder).Select(Path.GetFileName));
    }

    [Fact]
    public void A_batch_script_asks_once_for_its_name_and_key()
    {
        _bench.Install(_bench.Script(kind: "batch"));
        _bench.Restart();
        Installed second = _bench.Install(_bench.Script(kind: "batch", version: "1.1.0"));
        _bench.Install(_bench.Script(kind: "batch", name: "other"));

        Assert.Equal(InstallOutcome.Updated, second.Outcome);
        Assert.Equal(["bonds 1.0.0", "other 1.0.0"], _bench.Asked);
    }

    [Fact]
    public void A_whole_package_whose_key_was_forgotten_is_asked_about_again_and_not_called_damaged()
    {
        Package package = _bench.Script(kind: "batch");
        _bench.Install(package);
        _bench.Trust.Forget("bonds");

        Assert.Equal(InstallOutcome.Unchanged, _bench.Install(package).Outcome);

        Assert.Equal(["bonds 1.0.0", "bonds 1.0.0"], _bench.Asked);
        Assert.True(_bench.Trust.IsTrusted("bonds", package.Key!.Fingerprint));
    }

    [Fact]
    public void A_no_leaves_nothing_behind()
    {
        Package package = _bench.Script(kind: "batch");
        string[] before = _bench.Everything();
        _bench.Answer = false;

        Assert.Throws<RefusalException>(() => _bench.Install(package));

        Assert.Equal(before, _bench.Everything());
        Assert.Empty(Directory.EnumerateDirectories(_bench.PackagesFolder));
    }

    [Fact]
    public void An_author_trusted_beforehand_is_not_asked_about()
    {
        using AuthorKey key = _bench.Key();
        _bench.Trust.Trust(new Trust.TrustedAuthor("Jane", key.Public.Fingerprint));

        _bench.Install(_bench.Script(kind: "batch"));
        Assert.Empty(_bench.Asked);

        // An author who is forgotten takes the packages along.
        Assert.Equal(2, _bench.Trust.Forget("Jane"));
        Assert.False(_bench.Trust.IsTrusted("bonds", key.Public.Fingerprint));
    }

    [Fact]
    public void A_package_that_begins_to_ask_for_rights_is_asked_about()
    {
        _bench.Install(_bench.Script());
        _bench.Install(_bench.Script(kind: "batch", version: "1.1.0"));

        Assert.Equal(["bonds 1.1.0"], _bench.Asked);
    }

    [Theory]
    [InlineData("author", "stranger", "signed with")]
    [InlineData("author", null, "This one is not signed")]
    [InlineData(null, "stranger", "without a signature")]
    public void Another_key_does_not_take_over_a_name(string? first, string? second, string reason)
    {
        _bench.Install(_bench.Script(first));
        Package other = _bench.Script(second, version: "2.0.0");
        string[] before = _bench.Everything();

        RefusalException error = Assert.Throws<RefusalException>(() => _bench.Install(other));
        Assert.Contains(reason, error.Message, StringComparison.Ordinal);
        Assert.Equal(before, _bench.Everything());

        // The remedy names no more than is needed, and helps.
        Assert.EndsWith("good reason: imbrex plugin remove bonds, and add it again.", error.Remedy, StringComparison.Ordinal);
        _bench.Store.Remove("bonds");
        Assert.Equal(InstallOutcome.Added, _bench.Install(other).Outcome);
    }

    [Fact]
    public void The_name_of_a_trusted_package_stays_its_keys_after_it_is_removed_until_it_is_forgotten()
    {
        _bench.Install(_bench.Script(kind: "batch"));
        _bench.Store.Remove("bonds");
        _bench.Restart();
        Package other = _bench.Script("stranger", kind: "batch");

        RefusalException error = Assert.Throws<RefusalException>(() => _bench.Install(other));
        Assert.Contains("The name 'bonds' belongs to the key", error.Message, StringComparison.Ordinal);
        Assert.Contains("--forget bonds", error.Remedy, StringComparison.Ordinal);

        Assert.Equal(1, _bench.Trust.Forget("bonds"));
        Assert.Equal(InstallOutcome.Added, _bench.Install(other).Outcome);
    }

    [Theory]
    [InlineData("1.0.0", "0.9.9", "is older")]
    [InlineData("1.10.0", "1.9.0", "is older")]
    [InlineData("1.0.0", "1.0.0-rc.1", "is older")]
    [InlineData("1.0.0", "1.0.0", "another package of the same version")]
    public void An_older_version_is_refused_until_the_newer_is_removed(string first, string second, string reason)
    {
        _bench.Install(_bench.Script(version: first));
        Package older = _bench.Script(version: second, text: "Tile(1, 1);");

        Assert.Contains(reason, Assert.Throws<RefusalException>(() => _bench.Install(older)).Message, StringComparison.Ordinal);

        _bench.Store.Remove("bonds");
        Assert.Equal(InstallOutcome.Added, _bench.Install(older).Outcome);
    }

    [Fact]
    public void Damage_is_told_and_mended_by_installing_again()
    {
        Package package = _bench.Script();
        _bench.Install(package);
        Assert.Equal(InstallOutcome.Unchanged, _bench.Install(package).Outcome);

        File.AppendAllText(InstalledScript, " ");
        Assert.Equal("bonds-script.csx has been changed since it was installed.", Damage());
        RefusalException error = Assert.Throws<RefusalException>(() => _bench.Store.Scripts("layout").Single().Read());
        Assert.Contains("imbrex plugin add", error.Remedy, StringComparison.Ordinal);
        Assert.Equal(InstallOutcome.Repaired, _bench.Install(package).Outcome);
        Assert.Null(Damage());

        File.WriteAllText(Path.Combine(_bench.PackagesFolder, "bonds", "extra.dll"), "MZ");
        Assert.Equal("extra.dll has been put there since it was installed.", Damage());
        File.Delete(InstalledScript);
        Assert.Equal("bonds-script.csx is missing.", Damage());

        string? Damage() => _bench.Store.Damage(_bench.Store.Packages[0]);
    }

    [Fact]
    public void A_lock_that_cannot_be_written_leaves_what_was_installed()
    {
        _bench.Install(_bench.Script());
        _bench.Restart();
        Package newer = _bench.Script(version: "2.0.0", text: "Tile(1, 0);");
        string[] before = _bench.Everything();
        string inTheWay = Path.Combine(_bench.PackagesFolder, LockDocument.FileName + OutputFile.TemporarySuffix);
        Directory.CreateDirectory(inTheWay);

        Assert.Throws<InputException>(() => _bench.Install(newer));
        Directory.Delete(inTheWay);

        Assert.Equal(before, _bench.Everything());
        _bench.Restart();
        Assert.Null(_bench.Store.Damage(_bench.Store.Packages.Single()));
        Assert.Equal(["bonds"], Directory.EnumerateDirectories(_bench.PackagesFolder).Select(Path.GetFileName));
    }

    [Fact]
    public void A_folder_that_has_become_a_link_is_damage()
    {
        if (OperatingSystem.IsWindows())
            Assert.Skip("Links need rights there.");
        _bench.Install(_bench.Script());
        string folder = Path.Combine(_bench.PackagesFolder, "bonds"), elsewhere = Path.Combine(_bench.Root, "elsewhere");
        Directory.Move(folder, elsewhere);
        Directory.CreateSymbolicLink(folder, elsewhere);

        Assert.Equal("Its folder has been replaced by a link.", _bench.Store.Damage(_bench.Store.Packages.Single()));
    }

    [Fact]
    public void What_another_run_has_forgotten_does_not_come_back()
    {
        string path = Path.Combine(_bench.Root, "trust.json");
        var one = TrustStore.Open(path);
        one.Trust(new TrustedFile("old.csx", new string('a', 64)));
        var other = TrustStore.Open(path);
        other.Forget("old.csx");

        one.Trust(new TrustedFile("new.csx", new string('b', 64)));

        Assert.Equal("new.csx", TrustStore.Open(path).Files.Single().Name);
        Assert.False(one.IsTrusted(new string('a', 64)));
    }

    [Fact]
    public void Two_packages_do_not_hold_one_name()
    {
        _bench.Install(_bench.Make(null, PackageBench.Manifest("first"), ("same.csx", "Tile(0, 0);")).Package);

        RefusalException error = Assert.Throws<RefusalException>(() => _bench.Install(_bench.Make(null, PackageBench.Manifest("second"), ("same.csx", "Tile(1, 0);")).Package));

        Assert.Equal("The layout name 'same' is taken by the package first.", error.Message);
    }

    [Fact]
    public void What_an_interrupted_run_left_is_cleared_away()
    {
        _bench.Write("packages/.new-1/a.csx", "half");
        _bench.Write("packages/.old-1/a.csx", "former");

        _bench.Install(_bench.Script());

        Assert.Equal(["bonds"], Directory.EnumerateDirectories(_bench.PackagesFolder).Select(Path.GetFileName));
    }

    [Fact]
    public void Two_runs_do_not_change_packages_at_once()
    {
        Package package = _bench.Script();
        Directory.CreateDirectory(_bench.PackagesFolder);
        using (new FileStream(Path.Combine(_bench.PackagesFolder, ".busy"), FileMode.Create, FileAccess.ReadWrite, FileShare.None))
            Assert.Contains("cannot be changed now", Assert.Throws<InputException>(() => _bench.Install(package)).Message, StringComparison.Ordinal);

        Assert.Equal(InstallOutcome.Added, _bench.Install(package).Outcome);
    }

    [Fact]
    public void A_cancelled_installation_leaves_nothing_behind()
    {
        Package package = _bench.Script();
        string[] before = _bench.Everything();
        using var cancellation = new CancellationTokenSource();
        cancellation.Cancel();

        Assert.Throws<OperationCanceledException>(() => new PackageInstaller(_bench.Store, _bench.Trust, _ => { }).Add(package, "here", isFeed: false, cancellation.Token));

        Assert.Equal(before, _bench.Everything());
        Assert.Empty(Directory.EnumerateDirectories(_bench.PackagesFolder));
    }

    [Theory]
    [InlineData("not JSON")]
    [InlineData("{ \"schema\": \"imbrex/lock/1\", \"packages\": [ null ] }")]
    [InlineData("{ \"schema\": \"imbrex/lock/1\", \"packages\": [ { \"name\": \"x\", \"version\": \"1.0.0\", \"kind\": \"layout\", \"author\": \"a\\u001b[2J\", \"summary\": \"s\", \"source\": \"s\", \"isFeed\": false, \"sha256\": \"0000000000000000000000000000000000000000000000000000000000000000\", \"files\": [] } ] }")]
    [InlineData("{ \"schema\": \"imbrex/lock/1\", \"packages\": [ { \"name\": \"x\", \"version\": \"1.0.0\", \"kind\": \"layout\", \"author\": \"a\", \"summary\": \"s\", \"source\": \"s\", \"isFeed\": false, \"sha256\": \"0000000000000000000000000000000000000000000000000000000000000000\", \"scripts\": [ { \"file\": \"a.csx\", \"kind\": \"layout\" } ], \"files\": [] } ] }")]
    [InlineData("{ \"schema\": \"imbrex/lock/1\", \"packages\": [ { \"name\": \"../x\", \"version\": \"1.0.0\", \"kind\": \"layout\", \"author\": \"a\", \"summary\": \"s\", \"source\": \"s\", \"isFeed\": false, \"sha256\": \"00\", \"files\": [] } ] }")]
    public void A_damaged_lock_is_named(string text)
    {
        _bench.Write("packages/lock.json", text);

        InputException error = Assert.Throws<InputException>(() => _bench.Store.Packages);
        Assert.Contains("lock.json", error.Where, StringComparison.Ordinal);
        Assert.Contains("add your packages again", error.Remedy, StringComparison.Ordinal);
    }
}
