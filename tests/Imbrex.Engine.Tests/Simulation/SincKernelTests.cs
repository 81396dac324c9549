using System.Numerics;
using System.Runtime.Intrinsics;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

/// <summary>The simulated camera's truth is only as true as the kernel that places its picture.</summary>
public sealed class SincKernelTests(ITestOutputHelper output)
{
    [Fact]
    public void Constants_and_ramps_are_kept()
    {
        Span<double> weights = stackalloc double[SincKernel.Taps];
        for (double phase = 0; phase <= 1; phase += 0.003)
        {
            SincKernel.Exact(phase, weights);
            (double sum, double moment) = (0, 0);
            for (int i = 0; i < weights.Length; i++)
                (sum, moment) = (sum + weights[i], moment + weights[i] * (i - SincKernel.Before));
            Assert.Equal(1, sum, 1e-9);
            Assert.Equal(phase, moment, 1e-9);
        }
    }

    [Fact]
    public void The_table_agrees_with_the_weights()
    {
        Span<double> weights = stackalloc double[SincKernel.Taps];
        Span<Vector128<float>> table = stackalloc Vector128<float>[SincKernel.Taps];
        for (float phase = 0; phase <= 1; phase += 0.0037f)
        {
            SincKernel.Exact(phase, weights);
            SincKernel.WeightsAt(phase, table);
            for (int i = 0; i < weights.Length; i++)
                Assert.Equal(weights[i], table[i][2], 1e-6);
        }
    }

    /// <summary>By how much waves are moved and changed, over all phases, against an exact shift.</summary>
    [Theory]
    [InlineData(0.005)]
    [InlineData(0.02)]
    [InlineData(0.1)]
    [InlineData(0.25)]
    [InlineData(0.35)]
    public void Waves_stay_where_they_belong(double frequency)
    {
        Span<double> weights = stackalloc double[SincKernel.Taps];
        (double shift, double error) = (0, 0);
        for (double phase = 0; phase <= 1; phase += 0.01)
        {
            SincKernel.Exact(phase, weights);
            Complex response = 0;
            for (int i = 0; i < weights.Length; i++)
                response += weights[i] * Complex.FromPolarCoordinates(1, 2 * Math.PI * frequency * (i - SincKernel.Before - phase));
            (shift, error) = (Math.Max(shift, Math.Abs(response.Phase) / (2 * Math.PI * frequency)), Math.Max(error, (response - 1).Magnitude));
        }
        output.WriteLine($"{frequency}: moved {shift:0.0000000} px, error {error:0.0000000}");
        Assert.InRange(shift, 0, 5e-5);
        Assert.InRange(error, 0, 3e-4);
    }
}
