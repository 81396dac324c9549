using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Testing.Fakes;

namespace Imbrex.Sdk.Testing.Tests.Conformance;

/// <summary>Two tiles side by side, as they should be; tests make it worse in one respect.</summary>
public class PairLayout : IMosaicLayout
{
    internal Func<IReadOnlyList<Tile>, LayoutRequest, IReadOnlyList<Tile>> Spoil { get; init; } = (tiles, _) => tiles;
    internal Func<PartDescription> Describe { get; init; } = () => Described;

    internal static PartDescription Described { get; } = new("pair", "Two tiles side by side", ParameterDefinition.Number("step", "Distance between the two", 26, Unit.Millimetre, 1, 36));

    public PartDescription Description => Describe();

    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        double half = request.Parameters.Count == 0 ? 13 : request.Parameters["step"] / 2;
        BackLimits limits = request.Limits;
        Turn? turn = limits.Turns.Contains(Turn.None) ? Turn.None : limits.Turns.Contains(Turn.Half) ? Turn.Half : null;
        if (turn is null || limits.Left > -half || limits.Right < half || limits.Top > 0 || limits.Bottom < 0)
            throw new RefusalException($"The back cannot stand {half} mm off the axis with the body level.", "limits", "Use a smaller step.");
        return Spoil([new(new(new(-half, 0), turn.Value), "left"), new(new(new(half, 0), turn.Value), "right")], request);
    }
}

/// <summary>A cross slide as it should be.</summary>
public class PlainSlide : IAdapterGeometry
{
    internal Func<IBack, IBack> Spoil { get; init; } = back => back;
    internal bool AcceptsAnything { get; init; }
    internal Func<BackSpec, IBack>? Instead { get; init; }

    public PartDescription Description { get; } = new("plain-slide", "Two slides at right angles");

    public IBack Build(BackSpec spec)
    {
        if (Instead is not null)
            return Instead(spec);
        bool sound = spec.Axes.Count == 2 && spec.Axes.All(axis => axis.Minimum <= axis.Maximum) && spec.Turns.Count > 0 && spec.Seats.Count > 0;
        if (!sound && !AcceptsAnything)
            throw new InputException("The back has no two sound axes, a turn and a seat.", "back.axes", "Give travel along x, then along y.");
        return Spoil(new FakeBack(spec.Axes[0], spec.Axes.Count > 1 ? spec.Axes[1] : new() { Minimum = 0, Maximum = 0 }, [.. spec.Turns.Select(turn => turn.Turn)])
        {
            AngularTolerance = spec.AngularTolerance,
            AddedDepth = spec.DatumToMount,
            Opening = spec.Opening,
        });
    }
}

/// <summary>Writes the rows of the picture as they are read; tests make it worse in one respect.</summary>
public class RowsExport : IExportTarget
{
    internal Func<IProgress<double>, IProgress<double>> Reporting { get; init; } = progress => progress;
    internal Func<ExportReceipt, ExportRequest, ExportReceipt> Spoil { get; init; } = (receipt, _) => receipt;
    internal Action<ExportRequest> Before { get; init; } = _ => { };
    internal bool IsDeaf { get; init; }
    internal TimeSpan HearsLate { get; init; }
    internal bool HidesFaults { get; init; }
    internal int Rows { get; init; } = 64;

    public PartDescription Description { get; } = new("rows", "The samples of the picture, row after row");

    public async Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation)
    {
        Before(request);
        string name = request.BaseName + ".raw";
        await Task.Run(() => Write(request, Path.Combine(request.Folder, name), Reporting(progress), cancellation), CancellationToken.None);
        return Spoil(new([await ExportedFile.MeasureAsync(request.Folder, name, CancellationToken.None)]), request);
    }

    private void Write(ExportRequest request, string path, IProgress<double> progress, CancellationToken cancellation)
    {
        using FileStream file = File.Create(path);
        IMosaicImage image = request.Image;
        for (int y = 0; y < image.Height; y += Rows)
        {
            if (cancellation.IsCancellationRequested && !IsDeaf)
            {
                Thread.Sleep(HearsLate);
                cancellation.ThrowIfCancellationRequested();
            }
            int rows = Math.Min(Rows, image.Height - y);
            var samples = new ushort[rows * image.Width * image.Bands];
            try
            {
                image.ReadBlock(0, y, image.Width, rows, samples);
            }
            catch (InputException) when (HidesFaults)
            {
            }
            file.Write(System.Runtime.InteropServices.MemoryMarshal.AsBytes<ushort>(samples));
            progress.Report((y + rows) / (double)image.Height);
        }
    }
}
