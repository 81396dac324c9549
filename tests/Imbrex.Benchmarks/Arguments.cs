namespace Imbrex.Benchmarks;

/// <summary>The options of one command.</summary>
internal sealed class Arguments
{
    private readonly Dictionary<string, string> _given = [];

    /// <summary>Reads options; false where one is unknown or lacks its value.</summary>
    /// <param name="args">What was typed.</param>
    /// <param name="valued">Options that take a value.</param>
    /// <param name="plain">Options that take none.</param>
    /// <param name="given">Receives them.</param>
    public static bool TryParse(string[] args, string[] valued, string[] plain, out Arguments given)
    {
        given = new();
        for (int i = 0; i < args.Length; i++)
        {
            bool takesValue = valued.Contains(args[i]);
            if (!takesValue && !plain.Contains(args[i]) || takesValue && i + 1 == args.Length)
                return false;
            given._given[args[i]] = takesValue ? args[++i] : "";
        }
        return true;
    }

    public bool Has(string option) => _given.ContainsKey(option);

    public string? Value(string option) => _given.GetValueOrDefault(option);

    /// <summary>A whole number from 1 on, or what stands in for it.</summary>
    public int Count(string option, int otherwise) => int.TryParse(Value(option), out int count) && count > 0 ? count : otherwise;

    /// <summary>Says why a command does not run.</summary>
    public static int Refuse(string why)
    {
        Console.Error.WriteLine(why);
        return 1;
    }
}
