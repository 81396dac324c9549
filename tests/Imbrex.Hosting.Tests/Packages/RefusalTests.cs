using System.Text;
using Imbrex.Hosting.Packages;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Hosting.Tests.Packages;

/// <summary>Packages as an attacker would make them, complete with a list and a signature that fit: each is refused for its own reason, before anything is written.</summary>
public sealed class RefusalTests : IDisposable
{
    private readonly PackageBench _bench = new();

    public void Dispose() => _bench.Dispose();

    [Fact]
    public void An_honest_forgery_is_accepted()
    {
        Assert.Equal("bonds", Package.Parse(_bench.Forge(PackageBench.Entries(PackageBench.WholeManifest), "author"), "p").Manifest.Name);
        Assert.Null(Package.Parse(_bench.Forge(PackageBench.Entries(PackageBench.WholeManifest)), "p").Key);
    }

    [Theory]
    [InlineData("../evil.csx", "climbs out of its folder")]
    [InlineData("content/../../evil.csx", "climbs out of its folder")]
    [InlineData("content/./evil.csx", "climbs out of its folder")]
    [InlineData("/etc/evil.csx", "is an absolute name")]
    [InlineData("\\\\server\\share\\evil.csx", "is the name of a network share")]
    [InlineData("content\\..\\..\\evil.csx", "holds a backslash")]
    [InlineData("C:/evil.csx", "begins with a drive letter")]
    [InlineData("content/a.csx:hidden", "names an alternate stream")]
    [InlineData("content//evil.csx", "has a folder without a name")]
    [InlineData("content/below/", "has a folder without a name")]
    [InlineData("content/evil.csx.", "ends with a dot")]
    [InlineData("content/evil.csx ", "holds a character other than")]
    [InlineData("content/evil\u202Exsc.json", "holds a character other than")]
    [InlineData("content/evil\n.json", "holds a character other than")]
    [InlineData("content/a\u0301.json", "holds a character other than")]
    [InlineData("content/NUL.json", "is the name of a device")]
    [InlineData("content/com1/x.json", "is the name of a device")]
    [InlineData("content/a/b/c/d/e/f/g/h.json", "folders deep")]
    [InlineData("content/A.csx", "differ in upper and lower case only")]
    [InlineData("tools/install.json", "is no part of a package")]
    [InlineData("content/.hidden.json", "is a hidden file")]
    [InlineData("content/Imbrex-Package.json", "would take the manifest's place")]
    [InlineData("content/tool.dll", "is none of .csx")]
    [InlineData("content/tool.exe", "is none of .csx")]
    [InlineData("content/tool", "is none of .csx")]
    [InlineData("content/unnamed.csx", "is a script that the manifest does not name")]
    [InlineData("content/a.csx/below.json", "is a file and a folder")]
    public void A_name_that_means_harm_is_refused(string name, string reason)
    {
        Dictionary<string, byte[]> entries = PackageBench.Entries(PackageBench.WholeManifest);
        entries.Add(name, "{}"u8.ToArray());

        Refused(_bench.Forge(entries, "author"), reason);
    }

    [Fact]
    public void A_path_without_end_is_refused()
    {
        Dictionary<string, byte[]> entries = PackageBench.Entries(PackageBench.WholeManifest);
        entries.Add("content/" + new string('a', 5000) + ".json", "{}"u8.ToArray());

        Refused(_bench.Forge(entries, "author"), "a path may have 1 to");
    }

    [Theory]
    [InlineData("\u00e9", "e\u0301", "holds a character other than")]
    [InlineData("stra\u00dfe", "STRA\u00dfE", "differ in upper and lower case only")]
    [InlineData("one", "One", "differ in upper and lower case only")]
    public void Names_that_differ_in_case_or_accents_only_are_refused(string one, string other, string reason)
    {
        Dictionary<string, byte[]> entries = PackageBench.Entries(PackageBench.WholeManifest);
        entries.Add($"content/{one}.json", "{}"u8.ToArray());
        entries.Add($"content/{other}.json", "{}"u8.ToArray());

        Refused(_bench.Forge(entries, "author"), reason);
    }

    public static TheoryData<string, string> Lies => new()
    {
        { "twice", "is in the package twice" },
        { "link", "is a link" },
        { "device", "is no plain file" },
        { "folder", "is no plain file" },
        { "encrypted", "is encrypted" },
        { "descriptor", "tells its size behind itself" },
        { "method", "in a way that packages do not use" },
        { "two names", "says two different things of one file" },
        { "extra field", "carries extra fields" },
        { "gap", "has files that do not follow" },
        { "before directory", "something between its files and the directory" },
        { "comment", "cut off, or something follows" },
        { "smaller size", "unpacks to more than it says" },
        { "larger size", "unpacks to less than it says" },
        { "zip64", "very large archives" },
    };

    [Theory]
    [MemberData(nameof(Lies))]
    public void An_archive_that_lies_is_refused(string lie, string reason)
    {
        Dictionary<string, byte[]> entries = PackageBench.Entries(PackageBench.WholeManifest);
        ForgedFile[] files = [.. entries.Select(entry => new ForgedFile(entry.Key, entry.Value))];
        ForgedFile Last() => files[^1];
        files[^1] = lie switch
        {
            "link" => Last() with { Attributes = 0xA1FF << 16 },
            "device" => Last() with { Attributes = 0x61FF << 16 },
            "folder" => Last() with { Attributes = 0x10 },
            "encrypted" => Last() with { Flags = 1 },
            "descriptor" => Last() with { Flags = 8 },
            "method" => Last() with { Flags = 0x20 },
            "two names" => Last() with { NameInDirectory = "content/b.csx" },
            "extra field" => Last() with { Extra = [1, 0, 0, 0] },
            "gap" => Last() with { Before = new byte[10] },
            "smaller size" => Last() with { Size = 5 },
            "larger size" => Last() with { Size = 50 },
            _ => Last(),
        };
        byte[] zip = ForgedZip.Write(lie == "twice" ? [.. files, files[^1]] : files, lie == "before directory" ? new byte[10] : null, lie == "comment" ? new byte[10] : null);
        if (lie == "zip64")
            zip.AsSpan(zip.Length - 6, 4).Fill(0xFF);

        Refused(zip, reason);
    }

    [Fact]
    public void Bombs_are_refused_while_they_unpack()
    {
        // A file of zeros packs a thousandfold.
        Refused(WithContent("content/b.json", new byte[8 << 20]), "a bomb");
        // What a header promises is not believed, whichever way it lies.
        Refused(WithContent("content/b.json", new byte[8 << 20], file => file with { Size = 100 }), "unpacks to more than it says");
        Refused(WithContent("content/b.json", new byte[10], file => file with { Size = uint.MaxValue - 1 }), "MB is the most");
        var many = Enumerable.Range(0, PackageLimits.Entries + 1).Select(i => new ForgedFile($"content/{i}.json", [])).ToArray();
        Refused(ForgedZip.Write(many), "1001 files; 1000 is the most");
    }

    [Fact]
    public void Many_files_that_are_harmless_alone_are_refused_together()
    {
        // Just below the limit of one file's ratio, again and again: 1 MB each.
        byte[] harmless = new byte[PackageLimits.Harmless];
        Dictionary<string, byte[]> entries = PackageBench.Entries(PackageBench.WholeManifest);
        for (int i = 0; i < PackageLimits.Total / harmless.Length + 1; i++)
            entries.Add($"content/{i}.json", harmless);

        Refused(_bench.Forge(entries, "author"), "unpacks to more than 256 MB");
    }

    [Fact]
    public void A_file_that_is_too_large_is_not_even_read()
    {
        string path = Path.Combine(_bench.Root, "large.nupkg");
        using (FileStream file = File.Create(path))
            file.SetLength(PackageLimits.Package + (1L << 20));

        Assert.Contains("65 MB; 64 MB is the most", Assert.Throws<RefusalException>(() => Package.Read(path)).Message, StringComparison.Ordinal);
        if (File.Exists("/dev/zero"))
            Assert.Contains("MB is the most", Assert.Throws<RefusalException>(() => Package.Read("/dev/zero")).Message, StringComparison.Ordinal);
    }

    public static TheoryData<string, string> Changes => new()
    {
        { "content", "has been changed or damaged" },
        { "manifest", "has been changed or damaged" },
        { "missing", "is listed and not in the package" },
        { "extra", "is in the package and not on its list" },
        { "signature", "is not that of its key" },
        { "other key", "is not that of its key" },
        { "no signature", "a key or a signature, and not both" },
        { "no key", "a key or a signature, and not both" },
        { "other curve", "is no public key on the curve P-256" },
        { "list", "is not in its one form" },
        { "listed twice", "is not in its one form" },
        { "no list", "has no list" },
    };

    [Theory]
    [MemberData(nameof(Changes))]
    public void What_was_changed_after_signing_is_refused(string change, string reason)
    {
        byte[] honest = _bench.Forge(PackageBench.Entries(PackageBench.WholeManifest), "author");
        Dictionary<string, byte[]> files = Unzip(honest);
        using AuthorKey other = _bench.Key("stranger");
        switch (change)
        {
            case "content":
                files["content/a.csx"] = "Tile(9, 9);"u8.ToArray();
                break;
            case "manifest":
                files[PackageParts.Manifest] = Encoding.UTF8.GetBytes(PackageBench.WholeManifest.Replace("Jane", "John", StringComparison.Ordinal));
                break;
            case "missing":
                files.Remove("content/a.csx");
                break;
            case "extra":
                files["content/b.json"] = "{}"u8.ToArray();
                break;
            case "signature":
                files[PackageParts.Signature] = other.Sign(files[PackageParts.List]);
                break;
            case "other key":
                files[PackageParts.Key] = Encoding.ASCII.GetBytes(other.Public.ToPem());
                break;
            case "no signature":
                files.Remove(PackageParts.Signature);
                break;
            case "no key":
                files.Remove(PackageParts.Key);
                break;
            case "other curve":
                using (var curve = System.Security.Cryptography.ECDsa.Create(System.Security.Cryptography.ECCurve.NamedCurves.nistP384))
                    files[PackageParts.Key] = Encoding.ASCII.GetBytes(curve.ExportSubjectPublicKeyInfoPem());
                break;
            case "list":
                files[PackageParts.List] = [.. files[PackageParts.List], (byte)'\n'];
                break;
            case "listed twice":
                string text = Encoding.ASCII.GetString(files[PackageParts.List]);
                files[PackageParts.List] = Encoding.ASCII.GetBytes(text[..(text.IndexOf('\n', StringComparison.Ordinal) + 1)] + text);
                break;
            case "no list":
                files.Remove(PackageParts.List);
                break;
        }

        Refused(ForgedZip.Write(files.Select(file => new ForgedFile(file.Key, file.Value))), reason);
    }

    [Theory]
    [InlineData("batch", "a.csx", "nobody has signed it", null)]
    [InlineData("layout", "missing.csx", "is named in the manifest and not in the package", "author")]
    public void A_manifest_that_does_not_fit_is_refused(string kind, string file, string reason, string? key) => Refused(
        _bench.Forge(PackageBench.Entries(PackageBench.Manifest(kind: kind, more: $", \"sdk\": \"0.1.0\", \"scripts\": [ {{ \"file\": \"{file}\", \"name\": \"a\" }} ]")), key),
            reason);

    [Theory]
    [InlineData("9.0.0", "made for version 9.0.0 of the SDK, and this program has 0.1.0")]
    [InlineData("0.0.1", "made for version 0.0.1 of the SDK")]
    public void Another_SDK_is_refused(string sdk, string reason) =>
        Refused(_bench.Forge(PackageBench.Entries(PackageBench.WholeManifest.Replace("\"0.1.0\"", $"\"{sdk}\"", StringComparison.Ordinal)), "author"), reason);

    [Theory]
    [InlineData("\"schema\": \"imbrex/package/1\"", "\"schema\": \"imbrex/package/2\"", "imbrex/package/2")]
    [InlineData("\"kind\": \"layout\"", "\"kind\": \"scripts\"", "A script is a layout, an adapter or a batch")]
    [InlineData("\"Jane Maker\"", "\"Jane \\u202eMaker\"", "visible characters")]
    [InlineData("\"Jane Maker\"", "\"Jane \\u001b[2JMaker\"", "visible characters")]
    [InlineData("\"a.csx\"", "\"../a.csx\"", "path of a .csx file")]
    [InlineData("\"name\": \"bonds\"", "\"name\": \"con\"", "no device of Windows")]
    [InlineData("{ \"schema\"", "{ \"schema\": \"imbrex/package/1\", \"schema\"", "uplicate")]
    public void A_manifest_that_is_no_manifest_is_refused(string honest, string forged, string reason) =>
        Refused(_bench.Forge(PackageBench.Entries(PackageBench.WholeManifest.Replace(honest, forged, StringComparison.Ordinal)), "author"), reason);

    [Fact]
    public void A_plugin_that_brings_libvips_is_refused()
    {
        var entries = new Dictionary<string, byte[]>(StringComparer.Ordinal)
        {
            [PackageParts.Manifest] = Encoding.UTF8.GetBytes(PackageBench.Manifest(kind: "plugin", more: ", \"sdk\": \"0.1.0\", \"assembly\": \"A.dll\"")),
            ["content/A.dll"] = "MZ"u8.ToArray(),
            ["content/runtimes/linux-x64/native/libvips.so.42"] = [1],
        };

        Refused(_bench.Forge(entries, "author"), "its own copy of libvips");
    }

    [Fact]
    public void A_plugin_that_is_no_assembly_is_refused_when_it_is_installed_and_nothing_stays()
    {
        var entries = new Dictionary<string, byte[]>(StringComparer.Ordinal)
        {
            [PackageParts.Manifest] = Encoding.UTF8.GetBytes(PackageBench.Manifest(kind: "plugin", more: ", \"sdk\": \"0.1.0\", \"assembly\": \"A.dll\"")),
            ["content/A.dll"] = "MZ"u8.ToArray(),
        };
        var package = Package.Parse(_bench.Forge(entries, "author"), "p");

        Assert.Contains("not a readable .NET assembly", Assert.Throws<RefusalException>(() => _bench.Install(package)).Message, StringComparison.Ordinal);
        Assert.Empty(Directory.EnumerateDirectories(_bench.PackagesFolder));
        Assert.Empty(_bench.Asked);
    }

    [Theory]
    [InlineData("a.png", "MZ", "is no PNG picture")]
    [InlineData("a.json", "MZ\0\0", "is no UTF-8 text")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "holds the element 'script'")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><foreignObject/></svg>", "holds the element 'foreignObject'")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><image href='https://example.org/x'/></svg>", "holds the element 'image'")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "runs a script")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg' xmlns:x='http://www.w3.org/1999/xlink'><use x:href='https://example.org/x#y'/></svg>", "to something outside itself")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><use href='javascript:alert(1)'/></svg>", "to something outside itself")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><rect style='fill:url(https://example.org/x)'/></svg>", "to something outside itself")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><rect fill='url(#a) url(//example.org)'/></svg>", "to something outside itself")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><style>@import 'https://example.org/x';</style></svg>", "holds a style that loads something")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><style><title/>@import 'https://example.org/x';</style></svg>", "holds an element in its style")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><style>rect{fill:\\75rl(//example.org)}</style></svg>", "holds a style that loads something")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><style>rect{fill:u<!-- -->rl(//example.org)}</style></svg>", "holds a style that loads something")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg'><style>rect{fill:u<![CDATA[rl(//example.org)}]]></style></svg>", "holds a style that loads something")]
    [InlineData("a.svg", "<svg xmlns='http://www.w3.org/2000/svg' xml:base='https://example.org/x'><use href='#y'/></svg>", "to something outside itself")]
    [InlineData("a.svg", "<!DOCTYPE svg [<!ENTITY a SYSTEM 'file:///etc/passwd'>]><svg xmlns='http://www.w3.org/2000/svg'><text>&a;</text></svg>", "declares a document type")]
    [InlineData("a.svg", "<?xml-stylesheet href='https://example.org/x'?><svg xmlns='http://www.w3.org/2000/svg'/>", "holds a processing instruction")]
    [InlineData("a.svg", "<html xmlns='http://www.w3.org/1999/xhtml'/>", "holds the element 'html'")]
    [InlineData("a.svg", "no drawing", "is no SVG drawing")]
    public void Content_that_is_not_what_its_name_says_or_leads_out_is_refused(string name, string content, string reason) =>
        Refused(WithContent("content/" + name, Encoding.UTF8.GetBytes(content)), reason);

    private byte[] WithContent(string name, byte[] content, Func<ForgedFile, ForgedFile>? forge = null)
    {
        Dictionary<string, byte[]> entries = PackageBench.Entries(PackageBench.WholeManifest);
        entries.Add(name, content);
        return _bench.Forge(entries, "author", file => file.Name == name && forge is not null ? forge(file) : file);
    }

    private void Refused(byte[] bytes, string reason)
    {
        string path = Path.Combine(_bench.Root, "forged.nupkg");
        File.WriteAllBytes(path, bytes);
        string[] before = _bench.Everything();

        ImbrexException error = Assert.ThrowsAny<ImbrexException>(() => _bench.Install(Package.Read(path)));

        Assert.Contains(reason, error.Message, StringComparison.Ordinal);
        Assert.NotNull(error.Remedy);
        Assert.Equal(before, _bench.Everything());
    }

    private static Dictionary<string, byte[]> Unzip(byte[] zip) =>
        ZipLayout.Read(zip, "p").ToDictionary(part => part.Name, part => PackageReader.Unpack(zip, part), StringComparer.Ordinal);
}
