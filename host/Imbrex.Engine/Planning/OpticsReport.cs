using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>What lens and picture come to over the format and for each tile.</summary>
internal static class OpticsReport
{
    public static OpticsPart Of(CheckRequest request, KitOptics optics, IReadOnlyList<TileRectangle> usable)
    {
        double m = optics.Magnification;
        return new()
        {
            FocalLengthMm = optics.Lens.FocalLengthMm,
            Magnification = m,
            FocusDistanceMm = Finite(optics.ObjectDistance),
            ImageDistanceMm = optics.Stance.Distance,
            Aperture = optics.Aperture,
            WorkingAperture = optics.WorkingAperture,
            BellowsFactor = ThinLens.BellowsFactor(m, optics.PupilMagnification),
            BellowsStops = ThinLens.BellowsStops(m, optics.PupilMagnification),
            AxisMm = Pair(optics.Stance.Axis),
            LightCircle = optics.Light is { } light ? Circle(light, request.Format, optics) : null,
            SharpCircle = optics.Sharp is { } sharp ? Circle(sharp, request.Format, optics) : null,
            Falloff = Falloff(request.Format, optics),
            Diffraction = optics.Aperture is null ? null : Diffracted(request.Kit!.Body, optics),
            Depth = optics.Aperture is { } aperture ? Depth(optics, aperture) : null,
            View = View(request, optics),
            Tiles = [.. request.Tiles.Zip(usable, (tile, left) => Tile(tile, left, request, optics))],
        };
    }

    private static CirclePart Circle(LightCircle circle, PlaneSize format, KitOptics optics)
    {
        IReadOnlyList<PlanePoint> outline = circle.Outline();
        return new()
        {
            DiameterMm = circle.Diameter,
            HoldsFormat = circle.Holds(format),
            OutsidePercent = 100 * LightRule.Outside(circle, format).Sum(piece => piece.Area) / format.Area,
            NeededAtInfinityMm = circle.DiameterFor(format, optics.Lens.FocalLengthMm),
            Room = new()
            {
                RiseMm = Lengths.Down(circle.Room(format, new(0, -1))),
                FallMm = Lengths.Down(circle.Room(format, new(0, 1))),
                LeftMm = Lengths.Down(circle.Room(format, new(-1, 0))),
                RightMm = Lengths.Down(circle.Room(format, new(1, 0))),
            },
            OutlineMm = [.. outline.Select(Pair)],
        };
    }

    private static FalloffPart Falloff(PlaneSize format, KitOptics optics)
    {
        LensStance stance = optics.Stance;
        bool tilted = stance.Slope != PlanePoint.Origin;
        PlanePoint[] places = [.. new SensorPose(PlanePoint.Origin).Corners(format), PlanePoint.Origin];
        PlanePoint darkest = places.MinBy(stance.SmallPupilLight);
        double least = stance.SmallPupilLight(darkest);
        return new()
        {
            CornerMm = Pair(darkest),
            Formula = tilted ? "cos cos^3" : "cos^4",
            SmallPupilStops = NaturalFalloff.Stops(least),
            DiscStops = tilted || optics.WorkingAperture is not { } n ? null : NaturalFalloff.Stops(NaturalFalloff.Disc(stance.PupilSlope(darkest), n)),
            SpreadStops = NaturalFalloff.Stops(places.Max(stance.SmallPupilLight) / least),
        };
    }

    private static DiffractionPart Diffracted(BodyPart body, KitOptics optics)
    {
        double n = optics.WorkingAperture!.Value, pitch = 1 / body.PxPerMm(), nyquist = Diffraction.Nyquist(pitch);
        double engraved = optics.Aperture!.Value / n;
        return new()
        {
            CutOffPerMm = Diffraction.CutOff(n),
            NyquistPerMm = nyquist,
            ContrastAtNyquist = Diffraction.Contrast(nyquist / Diffraction.CutOff(n)),
            AiryDiameterMm = 2 * Diffraction.AiryRadius(n),
            NoAliasingAperture = engraved * Diffraction.NoAliasingAperture(pitch),
            NoAliasingMosaicAperture = engraved * Diffraction.NoAliasingAperture(2 * pitch),
        };
    }

    private static DepthPart Depth(KitOptics optics, double aperture)
    {
        double f = optics.Lens.FocalLengthMm, c = optics.CircleOfConfusion, u = optics.ObjectDistance;
        double hyperfocal = DepthOfField.Hyperfocal(f, aperture, c);
        var depth = new DepthPart
        {
            CircleOfConfusionMm = c,
            HyperfocalMm = hyperfocal,
            NearMm = DepthOfField.Near(f, u, hyperfocal),
            FarMm = Finite(DepthOfField.Far(f, u, hyperfocal)),
            DepthOfFocusMm = DepthOfField.DepthOfFocus(aperture, c, optics.Magnification),
            HingeMm = Hinge(optics),
        };
        return optics.Picture.NearMm is { } near ? WithSpread(depth, optics, near) : depth;
    }

    private static DepthPart WithSpread(DepthPart depth, KitOptics optics, double near)
    {
        double f = optics.Lens.FocalLengthMm, farImage = ThinLens.ImageDistanceOf(f, optics.Picture.FarMm ?? double.PositiveInfinity);
        double nearImage = ThinLens.ImageDistanceOf(f, near), spread = nearImage - farImage, middle = (nearImage + farImage) / 2;
        double m = middle / f - 1;
        double pull = ThinLens.WorkingAperture(1, m, optics.PupilMagnification);
        return depth with
        {
            FocusSpreadMm = spread,
            SpreadAperture = DepthOfField.ApertureForSpread(spread, depth.CircleOfConfusionMm, m),
            BalancedAperture = DepthOfField.BalancedAperture(spread) / pull,
            FocusAtMm = Finite(ThinLens.ObjectDistance(f, Math.Max(0, m))),
        };
    }

    private static double? Hinge(KitOptics optics)
    {
        double slope = optics.Stance.Slope.Length;
        return slope > 0 ? DepthOfField.HingeDistance(optics.Lens.FocalLengthMm, Math.Atan(slope) * 180 / Math.PI) : null;
    }

    private static ViewPart View(CheckRequest request, KitOptics optics)
    {
        (PlaneSize format, double v, PlanePoint foot) = (request.Format, optics.Stance.Distance, optics.Stance.Foot);
        double pxPerMm = request.Kit!.Body.PxPerMm();
        return new()
        {
            WidthDeg = AngleOfView.Between(-format.Width / 2 - foot.X, format.Width / 2 - foot.X, v),
            HeightDeg = AngleOfView.Between(-format.Height / 2 - foot.Y, format.Height / 2 - foot.Y, v),
            DiagonalDeg = AngleOfView.BetweenPoints(new(-format.Width / 2, -format.Height / 2), new(format.Width / 2, format.Height / 2), foot, v),
            WidthPx = (int)Math.Min(int.MaxValue, Math.Round(format.Width * pxPerMm)),
            HeightPx = (int)Math.Min(int.MaxValue, Math.Round(format.Height * pxPerMm)),
            Equivalents = [.. (request.Kit.Sheets ?? LensCatalogue.Sheets)
                .Prepend(new() { Name = "this sensor alone", WidthMm = request.Sensor.Width, HeightMm = request.Sensor.Height })
                .Select(sheet => Equivalent(sheet, format, optics))],
        };
    }

    private static EquivalentPart Equivalent(SheetPart sheet, PlaneSize format, KitOptics optics) => new()
    {
        Format = sheet.Name,
        FocalLengthMm = AngleOfView.EquivalentFocalLength(optics.Stance.Distance, Diagonal(format), Diagonal(new(sheet.WidthMm, sheet.HeightMm)), optics.ObjectDistance),
    };

    private static TileLightPart Tile(PlacedTile tile, TileRectangle usable, CheckRequest request, KitOptics optics)
    {
        IReadOnlyList<PlanePoint> corners = tile.Pose.Corners(request.Sensor);
        LightStop[] stops = optics.Stops(tile.Pose, tile.Setting?.BackTurned is true);
        (double Light, PlanePoint At)? least = optics.View is { } view && stops.Length > 0
            ? corners.Select(corner => (Light: view.Fraction(stops, corner), corner)).MinBy(seen => seen.Light)
            : null;
        return new()
        {
            Id = tile.Id,
            LeastLight = least?.Light,
            AtMm = least is { } l ? Pair(l.At) : null,
            FalloffStops = NaturalFalloff.Stops(corners.Min(optics.Stance.SmallPupilLight)),
            Cut = usable.Cuts.Count > 0 || (usable.Size.ShortSide <= 0 && request.Margins.Usable(request.Sensor).ShortSide > 0),
        };
    }

    private static double Diagonal(PlaneSize size) => Math.Sqrt(size.Width * size.Width + size.Height * size.Height);

    private static double[] Pair(PlanePoint point) => [Math.Round(point.X, 6), Math.Round(point.Y, 6)];

    private static double? Finite(double value) => double.IsFinite(value) ? value : null;
}
