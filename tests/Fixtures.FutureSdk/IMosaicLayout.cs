namespace Imbrex.Sdk.Layouts;

/// <summary>The contract as it might be one day.</summary>
public interface IMosaicLayout
{
    string Name { get; }
}
