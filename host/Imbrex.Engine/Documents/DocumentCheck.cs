using System.Globalization;
using Imbrex.Sdk;

namespace Imbrex.Engine.Documents;

/// <summary>Collects the faults of a document, each with its JSON path.</summary>
internal sealed class DocumentCheck(string source)
{
    private readonly List<(string What, string Path)> _faults = [];

    public void Require(bool holds, string path, string what)
    {
        if (!holds)
            _faults.Add((what, path));
    }

    public void Positive(double? value, string path) =>
        Require(value is not <= 0, path, string.Create(CultureInfo.InvariantCulture, $"The value is {value}; it must be greater than 0."));

    public void NotNegative(double? value, string path) =>
        Require(value is not < 0, path, string.Create(CultureInfo.InvariantCulture, $"The value is {value}; it must not be negative."));

    /// <summary>Checks a list for null items, which the serializer lets pass, and each item by its own rules.</summary>
    public void Each<T>(IReadOnlyList<T>? items, string path, Action<T, string> check)
    {
        for (int i = 0; i < (items?.Count ?? 0); i++)
        {
            string itemPath = string.Create(CultureInfo.InvariantCulture, $"{path}[{i}]");
            if (items![i] is null)
                Require(false, itemPath, "The item is null.");
            else
                check(items[i], itemPath);
        }
    }

    public void ThrowIfFaulty()
    {
        if (_faults.Count == 0)
            return;
        (string what, string path) = _faults[0];
        string more = _faults.Count switch
        {
            1 => "",
            2 => " (One more fault follows.)",
            int count => string.Create(CultureInfo.InvariantCulture, $" ({count - 1} more faults follow.)"),
        };
        throw new InputException(what + more, $"{source}, {path}", "Correct the value.");
    }
}
