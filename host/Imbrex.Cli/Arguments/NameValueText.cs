using Imbrex.Sdk;

namespace Imbrex.Cli.Arguments;

/// <summary>Pairs as typed: <c>name=value</c>. What a value means is for the part that takes it.</summary>
internal static class NameValueText
{
    public static IReadOnlyDictionary<string, string> Parse(IEnumerable<string> pairs, string option)
    {
        var values = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (string pair in pairs)
        {
            int equals = pair.IndexOf('=');
            if (equals <= 0)
                throw new InputException($"'{pair}' is not of the form name=value.", option, "Write the name, an equals sign and the value without spaces.");
            if (!values.TryAdd(pair[..equals], pair[(equals + 1)..]))
                throw new InputException($"'{pair[..equals]}' is given twice.", option, "Give each name once.");
        }
        return values;
    }
}
