using System.Runtime.Intrinsics;
using Imbrex.Engine.Imaging;
using Xunit;

namespace Imbrex.Engine.Tests.Imaging;

public sealed class InterleavedTests
{
    [Fact]
    public void Eight_pixels_are_stored_one_after_the_other_and_come_back_channel_by_channel()
    {
        ushort[] channels = [.. Enumerable.Range(0, 24).Select(i => (ushort)(i * 2654435761 >> 16))], samples = new ushort[26];
        Interleaved.Store(Vector128.Create(channels), Vector128.Create(channels, 8), Vector128.Create(channels, 16), samples);
        for (int i = 0; i < 24; i++)
            Assert.Equal(channels[i % 3 * 8 + i / 3], samples[i]);
        for (int band = 0; band < 3; band++)
            Assert.Equal(Vector128.Create(channels, 8 * band), Interleaved.Load(samples.AsSpan(band)));
    }
}
