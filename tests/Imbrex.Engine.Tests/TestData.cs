namespace Imbrex.Engine.Tests;

/// <summary>Photographs that come with the tests; licences stand beside them.</summary>
internal static class TestData
{
    public static string Mountain => Path.Combine(AppContext.BaseDirectory, "data", "mountain-ccby4.jpg");

    public static string Meadow => Path.Combine(AppContext.BaseDirectory, "data", "meadow-cc0.jpg");
}
