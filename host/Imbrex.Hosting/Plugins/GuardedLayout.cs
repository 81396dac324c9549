using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Plugins;

/// <summary>A plugin's layout: its failures carry its name, and what it returns is looked at before it is used.</summary>
internal sealed class GuardedLayout(IMosaicLayout layout, PartDescription description, PluginFile plugin) : IMosaicLayout
{
    private readonly PartGuard _guard = new(description.Name, plugin);

    public PartDescription Description => description;

    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        Tile[] tiles = _guard.Call(() => layout.Arrange(request).ToArray());
        if (tiles.Length == 0 || Array.Exists(tiles, tile => tile is null || !IsFinite(tile.Pose)))
        {
            string what = tiles.Length == 0 ? "placed no tile" : "placed a tile without a finite position";
            throw new InputException($"The layout '{description.Name}' of the plugin {plugin.Name} {what}.", plugin.Path, "Tell the plugin's author, or use another layout.");
        }
        return tiles;
    }

    private static bool IsFinite(SensorPose pose) => double.IsFinite(pose.Centre.X) && double.IsFinite(pose.Centre.Y) && double.IsFinite(pose.Rotation);
}
