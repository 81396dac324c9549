namespace Imbrex.Sdk;

/// <summary>The version of the contracts, by which host and plugin recognise each other.</summary>
public static class SdkContract
{
    /// <summary>Version of this SDK, by semantic versioning: before 1.0 a plugin needs the same minor version, after it the same major.</summary>
    public static Version Version { get; } = typeof(SdkContract).Assembly.GetName().Version!;

    /// <summary>Whether a plugin built against <paramref name="built"/> may be loaded by this SDK.</summary>
    /// <param name="built">The SDK version that the plugin's assembly references.</param>
    /// <returns>True if major (and, before 1.0, minor) agree and the plugin asks for nothing newer than this SDK.</returns>
    public static bool Accepts(Version built)
    {
        ArgumentNullException.ThrowIfNull(built);
        bool sameLine = built.Major == Version.Major && (Version.Major > 0 || built.Minor == Version.Minor);
        return sameLine && built <= Version;
    }
}
