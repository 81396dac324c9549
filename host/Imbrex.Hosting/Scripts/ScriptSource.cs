using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>The text of a script, read once: what is hashed is what is compiled.</summary>
public sealed class ScriptSource
{
    /// <summary>Longer scripts are refused unread.</summary>
    public const int MaximumBytes = 64 * 1024;

    private const int LongestQuote = 160;

    private ScriptSource(string path, byte[] bytes, string text)
    {
        (Path, Bytes, Text) = (path, bytes, text);
        Sha256 = Convert.ToHexStringLower(SHA256.HashData(bytes));
        Lines = text.Replace("\r\n", "\n").Split('\n');
    }

    /// <summary>Path as the user gave it.</summary>
    public string Path { get; }

    /// <summary>The file as it was read.</summary>
    internal byte[] Bytes { get; }

    public string Text { get; }

    /// <summary>SHA-256 of the file in lower-case hexadecimal.</summary>
    public string Sha256 { get; }

    public IReadOnlyList<string> Lines { get; }

    /// <summary>Reads a script.</summary>
    /// <exception cref="InputException">Missing, too long, not UTF-8, or with characters that hide what it does.</exception>
    public static ScriptSource Read(string path)
    {
        byte[] bytes;
        try
        {
            // Not by the length that the system tells: that of a device is nothing, and its end never comes.
            using FileStream file = File.OpenRead(path);
            byte[] most = new byte[MaximumBytes + 1];
            int read = file.ReadAtLeast(most, most.Length, throwOnEndOfStream: false);
            if (read > MaximumBytes)
                throw new InputException($"The script has {(file.CanSeek && file.Length > MaximumBytes ? file.Length : $"more than {MaximumBytes}")} bytes; {MaximumBytes} is the most.", path, "Divide it, or make a plugin of it.");
            bytes = most[..read];
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new InputException($"Cannot read the script {path}.", path, "Check the path and the rights to read it.", e);
        }
        return Parse(path, bytes);
    }

    /// <summary>Takes a script from memory; see <see cref="Read"/>.</summary>
    public static ScriptSource Parse(string path, byte[] bytes)
    {
        ReadOnlySpan<byte> mark = [0xEF, 0xBB, 0xBF];
        string text;
        try
        {
            ReadOnlySpan<byte> content = bytes;
            text = new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(content.StartsWith(mark) ? content[mark.Length..] : content);
        }
        catch (DecoderFallbackException e)
        {
            throw new InputException("The script is not UTF-8 text.", path, "Save it as UTF-8.", e);
        }
        var source = new ScriptSource(path, bytes, text);
        source.RefuseHiddenCharacters();
        return source;
    }

    /// <summary>A place in the script for people: file, line, column, the line itself and a caret under the place.</summary>
    /// <param name="line">Line, counted from 1.</param>
    /// <param name="column">Column, counted from 1, or 0 where only the line is known.</param>
    public string Place(int line, int column = 0)
    {
        string place = column > 0 ? $"{Path}, line {line}, column {column}" : $"{Path}, line {line}";
        if (line < 1 || line > Lines.Count)
            return place;
        string number = line.ToString(CultureInfo.InvariantCulture).PadLeft(6);
        (string shown, int at) = Window(Lines[line - 1].Replace('\t', ' '), column);
        string quoted = $"{place}\n{number} | {shown}";
        return column > 0 ? $"{quoted}\n{new string(' ', number.Length)} | {new string(' ', at - 1)}^" : quoted;
    }

    // Nobody wants to read a line of sixty thousand letters in a message.
    private static (string Shown, int Column) Window(string line, int column)
    {
        if (line.Length <= LongestQuote)
            return (line, column);
        int start = Math.Clamp(column - LongestQuote / 2, 0, line.Length - LongestQuote);
        return (line.Substring(start, LongestQuote), column - start);
    }

    // Control, direction and invisible characters can make a script read otherwise than it runs (Boucher and Anderson 2021,
    // "Trojan Source", from memory).
    private void RefuseHiddenCharacters()
    {
        for (int i = 0; i < Lines.Count; i++)
        {
            int at = FirstHidden(Lines[i]);
            if (at < 0)
                continue;
            string visible = Window(string.Concat(Lines[i].Select(c => IsHidden(c) ? '?' : c)), at + 1).Shown;
            throw new InputException($"The script holds the invisible character U+{(int)Lines[i][at]:X4}.",
                $"{Path}, line {i + 1}, column {at + 1}\n{i + 1,6} | {visible}", "Remove it: such characters hide what a script does.");
        }
    }

    private static int FirstHidden(string line)
    {
        for (int at = 0; at < line.Length; at++)
        {
            if (IsHidden(line[at]))
                return at;
        }
        return -1;
    }

    private static bool IsHidden(char letter) => letter is < ' ' and not '\t'
        || (letter > '~' && char.GetUnicodeCategory(letter) is UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator);
}
