using Imbrex.Cli;

return await CommandLine.RunAsync(args);
