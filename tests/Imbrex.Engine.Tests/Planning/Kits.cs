using System.Text;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Plugins.Adapters;
using Imbrex.Plugins.Layouts;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>Invented kits: a shop-made rail and a cross slide under a 36 x 24 mm sensor.</summary>
internal static class Kits
{
    public static KitDocument Rail(double row = 10, string axis = "\"minMm\": -40, \"maxMm\": 40", string seats = "{ \"state\": \"upright\" }, { \"state\": \"turned\" }", string turns = "{ \"deg\": 0 }", bool backTurns = true) =>
        Parse(FormattableString.Invariant($$"""
            { "schema": "imbrex/kit/1",
              "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000 },
              "back": { "adapter": "rail", "parameters": { "row-offset": {{row}} }, "angularToleranceDeg": 0,
                        "axes": [ { {{axis}}, "toleranceMm": 0 } ], "turns": [ {{turns}} ], "seats": [ {{seats}} ] },
              "camera": { "backTurns": {{(backTurns ? "true" : "false")}} } }
            """));

    public static KitDocument Cross(string back) => Parse($$"""
        { "schema": "imbrex/kit/1",
          "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000 },
          "back": { "adapter": "cross-slide", "angularToleranceDeg": 0, {{back}} } }
        """);

    public static KitDocument Parse(string json) => JsonDocuments.Parse<KitDocument>(Encoding.UTF8.GetBytes(json), KitDocument.SchemaName, "kit.json");

    public static BuiltBack Build(this KitDocument kit) =>
        BackBuilder.Build(kit, new IAdapterGeometry[] { new Rail(), new CrossSlide(), new DoubleRail(), new Turret() }.Single(geometry => geometry.Description.Name == kit.Back.Adapter));

    public static PlanRequest Plan(this KitDocument kit, PlaneSize format, double overlap, params (string Name, string Value)[] parameters) => new()
    {
        Kit = kit,
        Back = kit.Build(),
        Layout = new RegularGrid(),
        Format = format,
        Overlap = overlap,
        Parameters = parameters.ToDictionary(pair => pair.Name, pair => pair.Value),
    };

    /// <summary>A layout of tiles given outright.</summary>
    public sealed class Fixed(params IReadOnlyList<Tile> tiles) : IMosaicLayout
    {
        public Sdk.Parameters.PartDescription Description { get; } = new("fixed", "Tiles given outright");

        public IReadOnlyList<Tile> Arrange(LayoutRequest request) => tiles;
    }
}
