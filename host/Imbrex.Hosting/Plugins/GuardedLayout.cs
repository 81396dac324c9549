using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Plugins;

/// <summary>A plugin's layout: its failures carry its name, and what it returns is looked at before it is used.</summary>
internal sealed class GuardedLayout(IMosaicLayout layout, PartDescription description, PluginFile plugin, PartGuard guard) : IMosaicLayout
{
    public PartDescription Description => description;

    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        Tile[] tiles = guard.Work<Tile[]>("Arrange", () => layout.Arrange(request)?.ToArray());
        if (Array.Exists(tiles, tile => tile is null))
            throw guard.Failed("Arrange returned a tile that is nothing.", null);
        // For another request it may do: it is not left out.
        if (tiles.Length == 0 || !Array.TrueForAll(tiles, tile => IsFinite(tile.Pose)))
        {
            string what = tiles.Length == 0 ? "placed no tile" : "placed a tile without a finite position";
            throw new InputException($"The layout '{description.Name}' of the plugin {plugin.Name} {what}.", plugin.Path, "Tell the plugin's author, or use another layout.");
        }
        return tiles;
    }

    private static bool IsFinite(SensorPose pose) => double.IsFinite(pose.Centre.X) && double.IsFinite(pose.Centre.Y) && double.IsFinite(pose.Rotation);
}
