namespace Fixtures.Library;

/// <summary>What a plugin was given when it asked for the library.</summary>
public static class Edition
{
    public static string Name => "second";
}
