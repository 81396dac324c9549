using Imbrex.Engine.Photometry;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>Damaged profiles: sRGB is taken instead, or curves that work; never an exception, never a value that is not a number.</summary>
public sealed class IccFuzzTests
{
    [Theory]
    [InlineData("srgb")]
    [InlineData("p3")]
    public void Profiles_cut_short_give_no_curves_or_whole_ones(string name)
    {
        byte[] profile = Image.ProfileLoad(name);
        Assert.NotNull(IccCurves.Read(profile));
        for (int length = 0; length < profile.Length; length++)
            _ = IccCurves.Read(profile.AsSpan(0, length));
        Assert.Null(IccCurves.Read(profile.AsSpan(0, 131)));
        Assert.Null(IccCurves.Read([]));
    }

    [Theory]
    [InlineData("srgb", 1)]
    [InlineData("p3", 2)]
    public void Thousands_of_mutated_profiles_do_no_harm(string name, int seed)
    {
        byte[] profile = Image.ProfileLoad(name);
        var random = new Random(seed);
        byte[] odd = [0, 1, 2, 3, 4, 0x7F, 0x80, 0xFF];
        int curvesFound = 0;
        for (int trial = 0; trial < 3000; trial++)
        {
            byte[] mutated = [.. profile];
            for (int change = random.Next(1, 6); change > 0; change--)
            {
                // Mostly in the head and the directory of tags, where the numbers are.
                int at = random.Next(4) == 0 ? random.Next(mutated.Length) : random.Next(128, Math.Min(mutated.Length, 400));
                mutated[at] = random.Next(2) == 0 ? odd[random.Next(odd.Length)] : (byte)random.Next(256);
            }
            if (IccCurves.Read(mutated) is not { } curves)
                continue;
            curvesFound++;
            foreach (Func<double, double> curve in curves)
                _ = curve(0) + curve(0.3) + curve(1);
        }
        Assert.InRange(curvesFound, 1, 2999);
    }

    [Fact]
    public void Parametric_curves_with_wild_parameters_give_rising_finite_tables_or_sRGB()
    {
        var random = new Random(9);
        byte[] profile = Parametric(0, [1.8]);
        Assert.False(FrameLight.FromProfile(profile).IsAssumed);
        int assumed = 0;
        for (int trial = 0; trial < 60; trial++)
        {
            int kind = random.Next(6);
            double[] parameters = [.. Enumerable.Range(0, 7).Select(_ => random.Next(5) switch { 0 => 0.0, 1 => -random.NextDouble(), 2 => 30000, _ => 3 * random.NextDouble() })];
            FrameLight light = FrameLight.FromProfile(Parametric(kind, parameters));
            assumed += light.IsAssumed ? 1 : 0;
            float last = 0;
            for (int code = 0; code <= 65535; code += 17)
            {
                float linear = light.Curves[0].Linear((ushort)code), back = light.Curves[0].Code(linear);
                Assert.True(linear >= last && linear <= 1, $"kind {kind}, {string.Join(" ", parameters)}, code {code}: {linear}");
                Assert.InRange(back, 0, 65535);
                last = linear;
            }
        }
        Assert.InRange(assumed, 1, 59);
    }

    // The smallest profile with one parametric curve (ICC.1:2010, 7.2 to 7.3 and 10.15) used for all channels.
    private static byte[] Parametric(int kind, double[] parameters)
    {
        var profile = new byte[132 + 36 + 12 + 28];
        "acsp"u8.CopyTo(profile.AsSpan(36));
        "RGB "u8.CopyTo(profile.AsSpan(16));
        profile[131] = 3;
        int at = 132;
        foreach (string tag in new[] { "rTRC", "gTRC", "bTRC" })
        {
            System.Text.Encoding.ASCII.GetBytes(tag).CopyTo(profile, at);
            (profile[at + 7], profile[at + 11]) = (168, 40);
            at += 12;
        }
        "para"u8.CopyTo(profile.AsSpan(168));
        profile[177] = (byte)kind;
        for (int i = 0; i < Math.Min(7, parameters.Length); i++)
            System.Buffers.Binary.BinaryPrimitives.WriteInt32BigEndian(profile.AsSpan(180 + 4 * i), (int)(parameters[i] * 65536));
        return profile;
    }
}
