using Xunit;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>Looks for assemblies that scripts may have left behind in this process.</summary>
internal static class LoadedAssemblies
{
    /// <summary>Nothing of a name is left once what can be collected has been.</summary>
    /// <param name="name">A name that no script of another test has, which may run at the same time.</param>
    public static void AssertNone(string name)
    {
        for (int i = 0; i < 20 && Count(name) > 0; i++)
        {
            GC.Collect();
            GC.WaitForPendingFinalizers();
        }
        Assert.Equal(0, Count(name));
    }

    private static int Count(string name) => AppDomain.CurrentDomain.GetAssemblies().Count(assembly => assembly.GetName().Name == name);
}
