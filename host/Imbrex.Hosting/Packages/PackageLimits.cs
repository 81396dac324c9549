namespace Imbrex.Hosting.Packages;

/// <summary>How large a package may be. What exceeds a limit is refused while it is read; what a header promises is not believed.</summary>
internal static class PackageLimits
{
    /// <summary>The file itself: it is read into memory once, so that what is verified is what is unpacked.</summary>
    public const int Package = 64 << 20;

    /// <summary>Entries in it.</summary>
    public const int Entries = 1000;

    /// <summary>One unpacked file.</summary>
    public const long File = 64 << 20;

    /// <summary>All unpacked files together.</summary>
    public const long Total = 256 << 20;

    /// <summary>How many times its packed size a file may have.</summary>
    public const int Ratio = 100;

    /// <summary>Below this size, whatever the ratio, no file is a bomb.</summary>
    public const long Harmless = 1 << 20;

    /// <summary>Manifest, list of files, key and signature are read into memory.</summary>
    public const int Text = 1 << 20;
}
