using Imbrex.Sdk;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Microsoft.CodeAnalysis.Operations;

namespace Imbrex.Hosting.Scripts.Gates;

/// <summary>
/// Compares everything that a script means with the allow-list: what its names are bound to, and what it calls without a name, such as
/// conversions, operators, enumerators, deconstruction and collection builders.
/// </summary>
internal sealed class SymbolGate(ScriptSource source, Compilation compilation, AllowList list)
{
    /// <summary>Types that one type may be made of: tuples of tuples double with every line, and cost the compiler as much.</summary>
    public const int LargestType = 64;

    private readonly SemanticModel _model = compilation.GetSemanticModel(compilation.SyntaxTrees.Single());

    /// <exception cref="InputException">Something is not on the list.</exception>
    public void Check()
    {
        foreach (SyntaxNode node in _model.SyntaxTree.GetRoot().DescendantNodesAndSelf())
        {
            CheckBinding(node);
            CheckStatement(node);
            CheckDeclaration(node);
            if (_model.GetOperation(node) is { Parent: null } root)
                CheckOperations(root);
        }
    }

    private void CheckBinding(SyntaxNode node)
    {
        SymbolInfo info = _model.GetSymbolInfo(node);
        CheckSymbol(info.Symbol, node);
        foreach (ISymbol candidate in info.CandidateSymbols)
            CheckSymbol(candidate, node);
        TypeInfo type = _model.GetTypeInfo(node);
        CheckType(type.Type, node);
        CheckType(type.ConvertedType, node, list.KnowsType);
        if (node is ExpressionSyntax expression)
            CheckSymbol(_model.GetConversion(expression).MethodSymbol, node);
    }

    private void CheckStatement(SyntaxNode node)
    {
        switch (node)
        {
            case CommonForEachStatementSyntax each:
                ForEachStatementInfo loop = _model.GetForEachStatementInfo(each);
                CheckImplicit(loop.GetEnumeratorMethod, each);
                CheckImplicit(loop.MoveNextMethod, each);
                CheckImplicit(loop.CurrentProperty, each);
                CheckImplicit(loop.DisposeMethod, each);
                CheckImplicit(loop.ElementConversion.MethodSymbol, each);
                CheckImplicit(loop.CurrentConversion.MethodSymbol, each);
                CheckType(loop.ElementType, each);
                if (each is ForEachVariableStatementSyntax pairs)
                    CheckDeconstruction(_model.GetDeconstructionInfo(pairs), each);
                break;
            case AssignmentExpressionSyntax { RawKind: (int)SyntaxKind.SimpleAssignmentExpression } assignment:
                CheckDeconstruction(_model.GetDeconstructionInfo(assignment), assignment);
                break;
            case InitializerExpressionSyntax initializer:
                foreach (ExpressionSyntax element in initializer.Expressions)
                    CheckSymbol(_model.GetCollectionInitializerSymbolInfo(element).Symbol, element);
                break;
            case QueryClauseSyntax clause:
                QueryClauseInfo query = _model.GetQueryClauseInfo(clause);
                CheckSymbol(query.CastInfo.Symbol, clause);
                CheckSymbol(query.OperationInfo.Symbol, clause);
                break;
        }
    }

    private void CheckDeconstruction(DeconstructionInfo info, SyntaxNode node)
    {
        CheckImplicit(info.Method, node);
        CheckImplicit(info.Conversion?.MethodSymbol, node);
        foreach (DeconstructionInfo nested in info.Nested)
            CheckDeconstruction(nested, node);
    }

    // What a script overrides is called by others: its name must be listed where it was first declared.
    private void CheckDeclaration(SyntaxNode node)
    {
        if (node is not (MemberDeclarationSyntax or VariableDeclaratorSyntax or ParameterSyntax or LocalFunctionStatementSyntax or SingleVariableDesignationSyntax or TypeParameterSyntax))
            return;
        switch (_model.GetDeclaredSymbol(node))
        {
            case IMethodSymbol { OverriddenMethod: not null } method:
                Check(method, node, list.AllowsMember);
                break;
            case ILocalSymbol local:
                CheckType(local.Type, node);
                break;
            case INamedTypeSymbol type:
                CheckType(type.BaseType is { SpecialType: SpecialType.System_Enum or SpecialType.System_ValueType } ? null : type.BaseType, node);
                // What a type takes upon itself, others call.
                foreach (ISymbol member in type.Interfaces.Where(role => !IsOwn(role)).SelectMany(role => role.GetMembers()))
                    Check(member, node, list.AllowsMember);
                break;
        }
    }

    private void CheckOperations(IOperation root)
    {
        foreach (IOperation operation in root.DescendantsAndSelf())
        {
            CheckType(operation.Type, operation.Syntax, list.KnowsType);
            foreach (ISymbol? symbol in Symbols(operation))
                CheckImplicit(symbol, operation.Syntax);
            if (operation is IDynamicInvocationOperation or IDynamicMemberReferenceOperation or IDynamicIndexerAccessOperation or IDynamicObjectCreationOperation
                or IAddressOfOperation or IFunctionPointerInvocationOperation or ITypeOfOperation or ISizeOfOperation or IAwaitOperation or ILockOperation)
            {
                throw GateRefusals.NotAllowed(source, operation.Syntax.GetLocation(), $"'{operation.Syntax}'", list.Instead(operation.Syntax.Kind().ToString()));
            }
        }
    }

    private static IEnumerable<ISymbol?> Symbols(IOperation operation) => operation switch
    {
        IInvocationOperation call => [call.TargetMethod],
        IObjectCreationOperation created => [created.Constructor],
        IMemberReferenceOperation member => [member.Member],
        IBinaryOperation binary => [binary.OperatorMethod],
        IUnaryOperation unary => [unary.OperatorMethod],
        IIncrementOrDecrementOperation step => [step.OperatorMethod],
        ICompoundAssignmentOperation assignment => [assignment.OperatorMethod, assignment.InConversion.MethodSymbol, assignment.OutConversion.MethodSymbol],
        IConversionOperation conversion => [conversion.OperatorMethod],
        ICollectionExpressionOperation collection => [collection.ConstructMethod],
        IRecursivePatternOperation pattern => [pattern.DeconstructSymbol],
        IListPatternOperation pattern => [pattern.LengthSymbol, pattern.IndexerSymbol],
        ISlicePatternOperation pattern => [pattern.SliceSymbol],
        IImplicitIndexerReferenceOperation indexer => [indexer.LengthSymbol, indexer.IndexerSymbol],
        IRangeOperation range => [range.Method],
        IWithOperation copy => [copy.CloneMethod],
        IInterpolatedStringHandlerCreationOperation => [],
        _ => [],
    };

    // The compiler calls some members that a script cannot name.
    private void CheckImplicit(ISymbol? symbol, SyntaxNode node) => Check(symbol, node, list.KnowsMember);

    private void CheckSymbol(ISymbol? symbol, SyntaxNode node) => Check(symbol, node, node is ExpressionSyntax or StatementSyntax ? list.AllowsMember : list.KnowsMember);

    private void Check(ISymbol? symbol, SyntaxNode node, Func<string, string, Func<string>, bool> allows)
    {
        switch (symbol)
        {
            case IAliasSymbol alias:
                Check(alias.Target, node, allows);
                break;
            case ITypeSymbol type:
                CheckType(type, node);
                break;
            case IMethodSymbol method:
                CheckMethod(method, node, allows);
                break;
            case IPropertySymbol { ContainingType: { } owner } property when Root(property) is var root && !IsOwn(root):
                CheckMember(root, owner, root.IsIndexer ? root.MetadataName : root.Name, "", node, allows);
                break;
            case IFieldSymbol { ContainingType: { } owner } field when !IsOwn(field):
                CheckMember(field, owner, (field.CorrespondingTupleField ?? field).MetadataName, "", node, allows);
                break;
            case IEventSymbol unwanted:
                throw NotAllowed(unwanted, node);
        }
    }

    private void CheckMethod(IMethodSymbol method, SyntaxNode node, Func<string, string, Func<string>, bool> allows)
    {
        IMethodSymbol root = method.ReducedFrom ?? method;
        while (root.OverriddenMethod is { } overridden)
            root = overridden;
        foreach (ITypeSymbol argument in root.TypeArguments.Where(argument => argument is not ITypeParameterSymbol))
            CheckType(argument, node);
        // Operators of numbers and of delegates are the language's own, and so are local functions and lambdas.
        if (IsOwn(root) || root.MethodKind is MethodKind.BuiltinOperator or MethodKind.LocalFunction or MethodKind.AnonymousFunction || root.ContainingType is null)
            return;
        if (root.MethodKind == MethodKind.DelegateInvoke && list.AllowsType(root.ContainingType.InMetadata()))
            return;
        CheckMember(root, root.ContainingType, root.MetadataName, root.Parameters(), node, allows);
        foreach (ITypeSymbol type in root.OriginalDefinition.Parameters.Select(parameter => parameter.Type).Append(root.OriginalDefinition.ReturnType))
        {
            if (!IsKnown(type))
                throw NotAllowed(root, node);
        }
    }

    private void CheckMember(ISymbol member, INamedTypeSymbol owner, string name, string parameters, SyntaxNode node, Func<string, string, Func<string>, bool> allows)
    {
        INamedTypeSymbol declaring = owner.OriginalDefinition;
        if (declaring.IsTupleType)
            declaring = declaring.TupleUnderlyingType ?? declaring;
        if (!declaring.IsAnonymousType && !allows(declaring.InMetadata(), name, () => parameters))
            throw NotAllowed(member, node);
    }

    private static IPropertySymbol Root(IPropertySymbol property)
    {
        while (property.OverriddenProperty is { } overridden)
            property = overridden;
        return property;
    }

    private bool IsOwn(ISymbol symbol) => SymbolEqualityComparer.Default.Equals(symbol.ContainingAssembly, compilation.Assembly);

    private void CheckType(ITypeSymbol? type, SyntaxNode node) => CheckType(type, node, list.AllowsType);

    private void CheckType(ITypeSymbol? type, SyntaxNode node, Func<string, bool> allows)
    {
        if (type is null)
            return;
        int size = 0;
        if (Forbidden(type, ref size, allows) is { } forbidden)
            throw NotAllowed(forbidden, node);
        if (size > LargestType)
        {
            throw GateRefusals.NotAllowed(source, node.GetLocation(), $"a type that is made of more than {LargestType} types",
                "Give parts of it names of their own, as records.");
        }
    }

    private bool IsKnown(ITypeSymbol type)
    {
        int size = 0;
        return Forbidden(type, ref size, list.KnowsType) is null;
    }

    // The first part of a type that is not listed. Counts the parts, and stops where they are too many.
    private ITypeSymbol? Forbidden(ITypeSymbol type, ref int size, Func<string, bool> allows)
    {
        if (++size > LargestType)
            return null;
        switch (type)
        {
            case IArrayTypeSymbol array:
                return Forbidden(array.ElementType, ref size, allows);
            case ITypeParameterSymbol or IErrorTypeSymbol:
                return null;
            case INamedTypeSymbol { IsAnonymousType: true } anonymous:
                foreach (IPropertySymbol property in anonymous.GetMembers().OfType<IPropertySymbol>())
                {
                    if (Forbidden(property.Type, ref size, allows) is { } hidden)
                        return hidden;
                }
                return null;
            case INamedTypeSymbol named when IsOwn(named) || allows(named.InMetadata()):
                foreach (ITypeSymbol argument in named.TypeArguments)
                {
                    if (!SymbolEqualityComparer.Default.Equals(argument, named) && Forbidden(argument, ref size, allows) is { } hidden)
                        return hidden;
                }
                return named.ContainingType is { IsGenericType: true } outer && !IsOwn(named) ? Forbidden(outer, ref size, _ => true) : null;
            default:
                return type;
        }
    }

    private InputException NotAllowed(ISymbol symbol, SyntaxNode node)
    {
        string name = symbol is IMethodSymbol { MethodKind: MethodKind.Constructor } ? symbol.ContainingType.Name : symbol.Name is "" ? symbol.ToDisplayString() : symbol.Name;
        string[] around = [name, symbol.ContainingType?.Name ?? "", .. Spaces(symbol)];
        return GateRefusals.NotAllowed(source, node.GetLocation(), $"'{symbol.ToDisplayString()}'", list.Instead(around));
    }

    private static IEnumerable<string> Spaces(ISymbol symbol)
    {
        for (INamespaceSymbol? space = symbol.ContainingNamespace; space is { IsGlobalNamespace: false }; space = space.ContainingNamespace)
            yield return space.Name;
    }
}
