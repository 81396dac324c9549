using System.Reflection.Metadata;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>
/// Reads the instructions of a compiled method (ECMA-335, III) and finds those that reach past the type system: pointers, indirect calls,
/// memory on the stack. The compiler makes none of them for a script.
/// </summary>
internal static class InstructionGate
{
    private const byte TwoBytes = 0xFE;
    private const byte Switch = 0x45;

    /// <summary>The first instruction that is not allowed, in hexadecimal, or null.</summary>
    public static string? Refuse(BlobReader il)
    {
        while (il.RemainingBytes > 0)
        {
            byte code = il.ReadByte();
            if (code == Switch)
            {
                int targets = il.ReadInt32();
                if (targets < 0 || targets > il.RemainingBytes / sizeof(int))
                    throw new BadImageFormatException();
                il.Offset += targets * sizeof(int);
                continue;
            }
            byte second = code == TwoBytes ? il.ReadByte() : (byte)0;
            int operand = code == TwoBytes ? SecondOperand(second) : Operand(code);
            if (operand < 0)
                return code == TwoBytes ? $"FE{second:X2}" : $"{code:X2}";
            if (operand > il.RemainingBytes)
                throw new BadImageFormatException();
            il.Offset += operand;
        }
        return null;
    }

    // Bytes of the operand; less than nothing for what is not allowed or not known.
    private static int Operand(byte code) => code switch
    {
        0x01 or 0x24 or 0x27 or 0x29 or 0x4D or 0xC2 or 0xC6 or 0xD3 or 0xDF or 0xE0 => -1, // break, jmp, calli, typed references, native integers
        <= 0x0D => 0,
        <= 0x13 => 1,
        <= 0x1E => 0,
        0x1F => 1,
        0x20 or 0x22 => 4,
        0x21 or 0x23 => 8,
        0x25 or 0x26 or 0x2A => 0,
        0x28 => 4,
        >= 0x2B and <= 0x37 => 1,
        >= 0x38 and <= 0x44 => 4,
        >= 0x46 and <= 0x6E => 0,
        >= 0x6F and <= 0x75 => 4,
        0x76 or 0x7A => 0,
        0x79 => 4,
        >= 0x7B and <= 0x81 => 4,
        >= 0x82 and <= 0x8B => 0,
        0x8C or 0x8D or 0x8F => 4,
        0x8E => 0,
        >= 0x90 and <= 0xA2 => 0,
        >= 0xA3 and <= 0xA5 => 4,
        >= 0xB3 and <= 0xBA => 0,
        0xC3 => 0,
        0xD0 => 4,
        >= 0xD1 and <= 0xDC => 0,
        0xDD => 4,
        0xDE => 1,
        _ => -1,
    };

    private static int SecondOperand(byte code) => code switch
    {
        >= 0x01 and <= 0x05 => 0,
        0x06 or 0x07 => 4,
        >= 0x09 and <= 0x0E => 2,
        0x14 or 0x1A or 0x1E => 0,
        0x15 or 0x16 => 4,
        _ => -1, // arglist, localloc, filters, unaligned, volatile, block copies, sizeof, refanytype
    };
}
