using Imbrex.Sdk;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Microsoft.CodeAnalysis.Text;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>Compares every node, directive, modifier and identifier of a parsed script with the allow-list.</summary>
internal sealed class SyntaxGate(ScriptSource source, AllowList list)
{
    /// <summary>Levels of a syntax tree, of which a bracket makes three or so.</summary>
    public const int DeepestTree = 150;

    /// <summary>Levels of types within types, such as a list of lists.</summary>
    public const int DeepestType = 5;

    private const int LongestShown = 40;

    /// <exception cref="InputException">Something is not on the list.</exception>
    public void Check(SyntaxTree tree)
    {
        SyntaxNode root = tree.GetRoot();
        foreach (SyntaxTrivia trivia in root.DescendantTrivia().Where(trivia => trivia.IsDirective))
            CheckKind(trivia.Kind(), trivia.GetLocation());
        foreach ((SyntaxNode node, int depth, int typeDepth) in Walk(root))
        {
            if (depth > DeepestTree || typeDepth > DeepestType)
                throw TooDeep(node.GetLocation(), depth > DeepestTree ? DeepestTree : DeepestType);
            CheckKind(node.Kind(), node.GetLocation());
            CheckShape(node);
        }
        foreach (SyntaxToken token in root.DescendantTokens())
            CheckToken(token);
    }

    // Without recursion: a tree may be deeper than the stack.
    private static IEnumerable<(SyntaxNode Node, int Depth, int TypeDepth)> Walk(SyntaxNode root)
    {
        var waiting = new Stack<(SyntaxNode Node, int Depth, int TypeDepth)>([(root, 0, 0)]);
        while (waiting.TryPop(out (SyntaxNode Node, int Depth, int TypeDepth) next))
        {
            yield return next;
            // A chain of operators or calls is deep on its left side only, which neither parser nor binder minds.
            foreach (SyntaxNode child in next.Node.ChildNodes().Reverse())
            {
                bool chained = child is BinaryExpressionSyntax && next.Node is BinaryExpressionSyntax { Left: var left } && left == child;
                waiting.Push((child, chained ? next.Depth : next.Depth + 1, child is TypeSyntax and not IdentifierNameSyntax and not PredefinedTypeSyntax ? next.TypeDepth + 1 : next.TypeDepth));
            }
        }
    }

    private void CheckKind(SyntaxKind kind, Location location)
    {
        if (list.AllowsSyntax(kind.ToString()))
            return;
        string what = kind switch
        {
            SyntaxKind.ReferenceDirectiveTrivia => "#r",
            SyntaxKind.LoadDirectiveTrivia => "#load",
            _ => $"{Words(kind.ToString())} ('{Shown(location)}')",
        };
        throw GateRefusals.NotAllowed(source, location, what, list.Instead(kind.ToString()));
    }

    private void CheckShape(SyntaxNode node)
    {
        if (node is LocalDeclarationStatementSyntax { UsingKeyword.RawKind: not 0 } local)
            throw NotAllowed(local.UsingKeyword);
        if (node is UsingDirectiveSyntax { GlobalKeyword.RawKind: not 0 } global)
            throw NotAllowed(global.GlobalKeyword);
        if (node is TypeDeclarationSyntax type && type.Modifiers.FirstOrDefault(word => word.IsKind(SyntaxKind.RefKeyword)) is { RawKind: not 0 } byReference)
            throw NotAllowed(byReference);
        if (node is ConstructorDeclarationSyntax constructor && constructor.Modifiers.FirstOrDefault(word => word.IsKind(SyntaxKind.StaticKeyword)) is { RawKind: not 0 } word)
            throw GateRefusals.NotAllowed(source, word.GetLocation(), "a static constructor", "Give the field its value where it is declared.");
    }

    private void CheckToken(SyntaxToken token)
    {
        if (token.IsKind(SyntaxKind.IdentifierToken) && token.Text.AsSpan().IndexOfAnyExcept(Identifiers) is var at and >= 0)
        {
            throw GateRefusals.NotAllowed(source, token.GetLocation(), $"the letter U+{(int)token.Text[at]:X4} in a name",
                "Write names in the letters a to z: others look alike and are not.");
        }
        if (token.IsKind(SyntaxKind.ArgListKeyword))
            throw NotAllowed(token);
        // Words before a declaration; the same words elsewhere are kinds of syntax of their own.
        if (token.Parent is MemberDeclarationSyntax or ParameterSyntax or LocalFunctionStatementSyntax or LocalDeclarationStatementSyntax or AccessorDeclarationSyntax
            or AnonymousFunctionExpressionSyntax or UsingDirectiveSyntax && IsModifier(token) && !list.AllowsModifier(token.ValueText))
        {
            throw NotAllowed(token);
        }
        if (token.Parent is CommonForEachStatementSyntax or YieldStatementSyntax or TryStatementSyntax && token.IsKind(SyntaxKind.AwaitKeyword))
            throw NotAllowed(token);
    }

    private static readonly System.Buffers.SearchValues<char> Identifiers =
        System.Buffers.SearchValues.Create("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_@");

    private static bool IsModifier(SyntaxToken token) => token.Kind() is SyntaxKind.AsyncKeyword or SyntaxKind.UnsafeKeyword or SyntaxKind.ExternKeyword or SyntaxKind.VolatileKeyword
        or SyntaxKind.PartialKeyword or SyntaxKind.FileKeyword or SyntaxKind.FixedKeyword or SyntaxKind.ScopedKeyword or SyntaxKind.AwaitKeyword
        || (SyntaxFacts.IsKeywordKind(token.Kind()) && token.Parent is MemberDeclarationSyntax { Modifiers: var words } && words.Contains(token));

    private InputException NotAllowed(SyntaxToken word) => GateRefusals.NotAllowed(source, word.GetLocation(), $"'{word.ValueText}'", list.Instead(word.ValueText));

    private InputException TooDeep(Location location, int most)
    {
        LinePosition start = location.GetLineSpan().StartLinePosition;
        return GateRefusals.NestedTooDeep(source, start.Line + 1, start.Character + 1, most);
    }

    // The beginning of what is meant, on one line.
    private string Shown(Location location)
    {
        string text = source.Text.Substring(location.SourceSpan.Start, location.SourceSpan.Length).Split('\n')[0].Trim();
        return text.Length <= LongestShown ? text : text[..LongestShown] + "…";
    }

    // GotoStatement: 'a goto statement'.
    private static string Words(string kind)
    {
        string words = string.Concat(kind.Select(letter => char.IsUpper(letter) ? " " + char.ToLowerInvariant(letter) : letter.ToString())).TrimStart();
        string article = words[0] is 'a' or 'e' or 'i' or 'o' or 'u' ? "an" : "a";
        return $"{article} {words}";
    }
}
