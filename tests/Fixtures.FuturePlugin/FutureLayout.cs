using Imbrex.Sdk.Layouts;

namespace Fixtures;

public sealed class FutureLayout : IMosaicLayout
{
    public string Name => "future";
}
