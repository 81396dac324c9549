using System.Runtime.InteropServices;
using System.Runtime.Versioning;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// A seccomp filter (Linux, Documentation/userspace-api/seccomp_filter.rst) for all threads of this process: no sockets, no new processes or
/// programs, no changes to the system or to what others own. The runtime's own calls stay: memory, threads, files that Landlock allows.
/// </summary>
[SupportedOSPlatform("linux")]
internal static unsafe partial class SystemCallFilter
{
    // Offsets in struct seccomp_data.
    private const uint Number = 0, Architecture = 4, FirstArgument = 16;
    private const uint ArchitectureX64 = 0xC000003E, ArchitectureArm64 = 0xC00000B7, X32 = 0x40000000;

    // Classic BPF: load a word, jump if equal, if at least, if any bit is set; return.
    private const ushort Load = 0x20, Equal = 0x15, AtLeast = 0x35, AnyBit = 0x45, Return = 0x06;
    private const uint Allow = 0x7FFF0000, Refuse = 0x00050000, NotPermitted = 1, NotKnown = 38;
    private const uint CloneThread = 0x10000;

    private const int SetNoNewPrivileges = 38, SetModeFilter = 1, AllThreads = 1;

    // Each call by its number on x64 and on arm64 (-1 where there is none), from the kernel's tables.
    private static readonly (int X64, int Arm64)[] Refused =
    [
        (41, 198), (53, 199), (49, 200), (50, 201), (43, 202), (42, 203), (288, 242), // socket, socketpair, bind, listen, accept, connect, accept4
        (57, -1), (58, -1), (59, 221), (322, 281), // fork, vfork, execve, execveat
        (62, 129), (200, 130), (129, 138), (297, 240), (424, 424), (434, 434), (438, 438), // kill, tkill, queued signals, pidfds
        (101, 117), (310, 270), (311, 271), (312, 272), // ptrace, process memory, kcmp
        (90, -1), (91, 52), (268, 53), (452, 452), (92, -1), (93, 55), (94, -1), (260, 54), // chmod and chown
        (235, -1), (261, -1), (280, 88), (132, -1), (188, 5), (189, 6), (190, 7), (197, 14), (198, 15), (199, 16), // times, attributes
        (133, -1), (259, 33), // device nodes
        (105, 146), (106, 144), (113, 145), (114, 143), (116, 159), (117, 147), (119, 149), (122, 151), (123, 152), (126, 91), // identities, capabilities
        (109, 154), (112, 157), (135, 92), (141, 140), // groups, sessions, personality, priorities
        (155, 41), (161, 51), (165, 40), (166, 39), (428, 428), (429, 429), (430, 430), (431, 431), (432, 432), (433, 433), (442, 442), // mounts
        (163, 89), (164, 170), (167, 224), (168, 225), (169, 142), (170, 161), (171, 162), (227, 112), (103, 116), // the machine
        (175, 105), (176, 106), (313, 273), (246, 104), (320, 294), (321, 280), (298, 241), (323, 282), // kernel modules, bpf, perf, userfaultfd
        (272, 97), (308, 268), (303, 264), (304, 265), // namespaces, file handles
        (248, 217), (249, 218), (250, 219), // keys
        (29, 194), (64, 190), (68, 186), (240, 180), (319, 279), (425, 425), (426, 426), (427, 427), // shared memory, queues, io_uring
        (160, 164), // setrlimit
    ];

    /// <summary>Puts the filter up.</summary>
    /// <returns>Whether it stands.</returns>
    public static bool Set()
    {
        bool arm = RuntimeInformation.ProcessArchitecture == System.Runtime.InteropServices.Architecture.Arm64;
        if (!arm && RuntimeInformation.ProcessArchitecture != System.Runtime.InteropServices.Architecture.X64)
            return false;
        Instruction[] program = Program(arm);
        fixed (Instruction* first = program)
        {
            var whole = new FilterProgram { Length = (ushort)program.Length, First = first };
            return prctl(SetNoNewPrivileges, 1, 0, 0, 0) == 0 && syscall(arm ? 277 : 317, SetModeFilter, AllThreads, &whole) == 0;
        }
    }

    private static Instruction[] Program(bool arm)
    {
        (uint clone, uint clone3, uint tgkill, uint prlimit) = arm ? (220u, 435u, 131u, 261u) : (56u, 435u, 234u, 302u);
        return
        [
            new(Load, Architecture), new(Equal, arm ? ArchitectureArm64 : ArchitectureX64, WhenTrue: 1), Errno(NotPermitted),
            new(Load, Number),
            .. arm ? Array.Empty<Instruction>() : [new(AtLeast, X32, WhenFalse: 1), Errno(NotPermitted)],
            .. Refused.Select(call => arm ? call.Arm64 : call.X64).Where(number => number >= 0).SelectMany(number => new Instruction[] { new(Equal, (uint)number, WhenFalse: 1), Errno(NotPermitted) }),
            // The C library makes threads with clone where the kernel seems not to know clone3, whose flags a filter cannot see.
            new(Equal, clone3, WhenFalse: 1), Errno(NotKnown),
            new(Equal, clone, WhenFalse: 4), new(Load, FirstArgument), new(AnyBit, CloneThread, WhenTrue: 1), Errno(NotPermitted), new(Return, Allow),
            // Signals to threads of this process only: the garbage collector sends them.
            new(Equal, tgkill, WhenFalse: 4), new(Load, FirstArgument), new(Equal, (uint)Environment.ProcessId, WhenTrue: 1), Errno(NotPermitted), new(Return, Allow),
            // Limits may be read and not set: the third argument, a pointer, must be null.
            new(Equal, prlimit, WhenFalse: 5), new(Load, FirstArgument + 16), new(Equal, 0, WhenFalse: 2), new(Load, FirstArgument + 20), new(Equal, 0, WhenTrue: 1), Errno(NotPermitted),
            new(Return, Allow),
        ];
    }

    private static Instruction Errno(uint error) => new(Return, Refuse | error);

    [StructLayout(LayoutKind.Sequential)]
    private readonly record struct Instruction(ushort Code, byte WhenTrue, byte WhenFalse, uint Value)
    {
        public Instruction(ushort Code, uint Value, byte WhenTrue = 0, byte WhenFalse = 0) : this(Code, WhenTrue, WhenFalse, Value)
        {
        }
    }

    [StructLayout(LayoutKind.Sequential)]
    private struct FilterProgram
    {
        public ushort Length;
        public Instruction* First;
    }

    [LibraryImport("libc", SetLastError = true)]
    private static partial int prctl(int option, nuint a, nuint b, nuint c, nuint d);

    [LibraryImport("libc", SetLastError = true)]
    private static partial long syscall(long number, nuint operation, nuint flags, void* arguments);
}
