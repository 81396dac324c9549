using Imbrex.Cli;
using Imbrex.Hosting.Scripts.Children;

// The program is also what compiles and runs strangers' scripts, as a child of itself. No plugin, no picture library and no option is looked at then.
return args is [ScriptChild.Word, string role] ? ScriptChild.Serve(role) : await CommandLine.RunAsync(args);
