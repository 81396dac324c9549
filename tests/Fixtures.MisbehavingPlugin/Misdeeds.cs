namespace Fixtures;

/// <summary>How the parts misbehave.</summary>
internal static class Misdeeds
{
    /// <summary>Never returns. Only where the environment asks for it by name, since a program that meets several waits for each.</summary>
    public static void Hang(string name)
    {
        string[] wanted = (Environment.GetEnvironmentVariable("IMBREX_FIXTURE_HANG") ?? "").Split(' ');
        if (!wanted.Contains(name) && !wanted.Contains("all"))
            return;
        while (true)
            Thread.Sleep(1000);
    }

    /// <summary>Counts a call in the file that the environment names, so that a test sees what a program called.</summary>
    public static void Count(string name)
    {
        if (Environment.GetEnvironmentVariable("IMBREX_FIXTURE_CALLS") is { } file)
            File.AppendAllText(file, name + "\n");
    }
}
