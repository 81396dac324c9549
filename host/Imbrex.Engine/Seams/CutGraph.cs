namespace Imbrex.Engine.Seams;

/// <summary>
/// The smallest cut between two terminals of a graph whose nodes have up to four neighbours, by augmenting paths between two search
/// trees that are kept and mended (Boykov and Kolmogorov, IEEE PAMI 26(9) 2004). Capacities are whole numbers, so that the cut is exact.
/// One instance serves one cut after the other.
/// </summary>
internal sealed class CutGraph
{
    private const int Directions = 4;

    // What a node's parent is, beside a direction 0 to 3.
    private const sbyte Terminal = 4, Orphan = 5, Nothing = -1;

    private enum Tree : byte
    {
        None,
        Source,
        Sink,
    }

    private readonly Queue<int> _active = new(), _orphans = new();
    private int[] _residual = [], _neighbour = [], _terminal = [], _stamp = [], _distance = [];
    private sbyte[] _parent = [];
    private Tree[] _tree = [];
    private bool[] _isActive = [];
    private int _nodes, _time;

    /// <summary>Begins a graph of so many nodes without links.</summary>
    public void Begin(int nodes)
    {
        if (_terminal.Length < nodes)
        {
            (_residual, _neighbour) = (new int[nodes * Directions], new int[nodes * Directions]);
            (_terminal, _stamp, _distance, _parent, _tree, _isActive) = (new int[nodes], new int[nodes], new int[nodes], new sbyte[nodes], new Tree[nodes], new bool[nodes]);
        }
        _nodes = nodes;
        Array.Clear(_residual, 0, nodes * Directions);
        Array.Fill(_neighbour, -1, 0, nodes * Directions);
        Array.Clear(_terminal, 0, nodes);
    }

    /// <summary>Adds what it costs when a node ends on the sink's side, and on the source's.</summary>
    public void AddTerminals(int node, int ifSink, int ifSource) => _terminal[node] += ifSink - ifSource;

    /// <summary>Links a node to its neighbour.</summary>
    /// <param name="from">The node.</param>
    /// <param name="direction">Which of its neighbours: 0 or 1; the other sees it in direction 2 or 3.</param>
    /// <param name="to">The neighbour.</param>
    /// <param name="capacity">What it costs when <paramref name="from"/> ends on the source's side and <paramref name="to"/> on the sink's.</param>
    public void Link(int from, int direction, int to, int capacity)
    {
        int out1 = from * Directions + direction, back = to * Directions + Opposite(direction);
        (_neighbour[out1], _neighbour[back]) = (to, from);
        _residual[out1] += capacity;
    }

    /// <summary>Whether a node is on the sink's side of the smallest cut; where several are equally small, the one with the fewest such nodes.</summary>
    public bool IsSink(int node) => _tree[node] == Tree.Sink;

    /// <summary>Finds the smallest cut.</summary>
    public void Cut()
    {
        Plant();
        int node = -1;
        while (true)
        {
            if (node < 0 || _tree[node] == Tree.None)
            {
                if (!_active.TryDequeue(out node))
                    return;
                _isActive[node] = false;
                if (_tree[node] == Tree.None)
                    continue;
            }
            _time++;
            int meeting = Grow(node);
            if (meeting < 0)
            {
                node = -1;
                continue;
            }
            Augment(meeting);
            while (_orphans.TryDequeue(out int orphan))
                Adopt(orphan);
        }
    }

    private static int Opposite(int direction) => (direction + 2) & 3;

    private void Plant()
    {
        _time = 0;
        _active.Clear();
        for (int i = 0; i < _nodes; i++)
        {
            (_stamp[i], _distance[i], _isActive[i]) = (0, 1, false);
            _tree[i] = _terminal[i] > 0 ? Tree.Source : _terminal[i] < 0 ? Tree.Sink : Tree.None;
            _parent[i] = _terminal[i] != 0 ? Terminal : Nothing;
            if (_terminal[i] != 0)
                Activate(i);
        }
    }

    private void Activate(int node)
    {
        if (_isActive[node])
            return;
        _isActive[node] = true;
        _active.Enqueue(node);
    }

    // What may still flow towards the tree's own terminal side from a node's neighbour: along the arc away from the source, or to the sink.
    private int Flow(Tree tree, int parent, int direction, int child) =>
        tree == Tree.Source ? _residual[parent * Directions + direction] : _residual[child * Directions + Opposite(direction)];

    // Takes free neighbours into the node's tree; returns the arc from the source's to the sink's tree where they meet, or -1.
    private int Grow(int node)
    {
        Tree tree = _tree[node];
        for (int direction = 0; direction < Directions; direction++)
        {
            int other = _neighbour[node * Directions + direction];
            if (other < 0 || Flow(tree, node, direction, other) == 0)
                continue;
            if (_tree[other] == Tree.None)
            {
                _tree[other] = tree;
                Follow(other, direction, node);
                Activate(other);
            }
            else if (_tree[other] != tree)
            {
                return tree == Tree.Source ? node * Directions + direction : other * Directions + Opposite(direction);
            }
            else if (_stamp[other] <= _stamp[node] && _distance[other] > _distance[node])
            {
                Follow(other, direction, node);
            }
        }
        return -1;
    }

    private void Follow(int child, int direction, int parent)
    {
        _parent[child] = (sbyte)Opposite(direction);
        _stamp[child] = _stamp[parent];
        _distance[child] = _distance[parent] + 1;
    }

    private int ParentOf(int node) => _neighbour[node * Directions + _parent[node]];

    private void Augment(int meeting)
    {
        int source = meeting / Directions, sink = _neighbour[meeting];
        int flow = Math.Min(_residual[meeting], Math.Min(Narrowest(source, Tree.Source), Narrowest(sink, Tree.Sink)));
        _residual[meeting] -= flow;
        _residual[sink * Directions + Opposite(meeting % Directions)] += flow;
        Push(source, Tree.Source, flow);
        Push(sink, Tree.Sink, flow);
    }

    private int Narrowest(int node, Tree tree)
    {
        int least = int.MaxValue;
        for (; _parent[node] != Terminal; node = ParentOf(node))
            least = Math.Min(least, Flow(tree, ParentOf(node), Opposite(_parent[node]), node));
        return Math.Min(least, Math.Abs(_terminal[node]));
    }

    private void Push(int node, Tree tree, int flow)
    {
        while (_parent[node] != Terminal)
        {
            int parent = ParentOf(node), down = parent * Directions + Opposite(_parent[node]), up = node * Directions + _parent[node];
            (int used, int back) = tree == Tree.Source ? (down, up) : (up, down);
            _residual[used] -= flow;
            _residual[back] += flow;
            if (_residual[used] == 0)
                Abandon(node);
            node = parent;
        }
        _terminal[node] -= tree == Tree.Source ? flow : -flow;
        if (_terminal[node] == 0)
            Abandon(node);
    }

    private void Abandon(int node)
    {
        _parent[node] = Orphan;
        _orphans.Enqueue(node);
    }

    // Finds a new parent for a node of the same tree, the nearest to its terminal; where there is none, the node is free and its children are orphans.
    private void Adopt(int node)
    {
        Tree tree = _tree[node];
        int best = -1, nearest = int.MaxValue;
        for (int direction = 0; direction < Directions; direction++)
        {
            int other = _neighbour[node * Directions + direction];
            if (other < 0 || _tree[other] != tree || Flow(tree, other, Opposite(direction), node) == 0)
                continue;
            int distance = ToTerminal(other);
            if (distance < nearest)
                (best, nearest) = (direction, distance);
        }
        if (best >= 0)
        {
            _parent[node] = (sbyte)best;
            (_stamp[node], _distance[node]) = (_time, nearest + 1);
            return;
        }
        for (int direction = 0; direction < Directions; direction++)
        {
            int other = _neighbour[node * Directions + direction];
            if (other < 0 || _tree[other] != tree)
                continue;
            if (Flow(tree, other, Opposite(direction), node) > 0)
                Activate(other);
            if (_parent[other] == Opposite(direction))
                Abandon(other);
        }
        (_tree[node], _parent[node]) = (Tree.None, Nothing);
    }

    // Steps from a node to its terminal, or int.MaxValue where its line ends in an orphan; nodes on the way remember theirs.
    private int ToTerminal(int start)
    {
        int steps = 0, node = start;
        while (_stamp[node] != _time)
        {
            if (_parent[node] == Terminal)
            {
                (_stamp[node], _distance[node]) = (_time, 1);
                break;
            }
            if (_parent[node] is Orphan or Nothing)
                return int.MaxValue;
            steps++;
            node = ParentOf(node);
        }
        // A node stamped now may have been orphaned since.
        if (_parent[node] is Orphan or Nothing)
            return int.MaxValue;
        int total = steps + _distance[node], distance = total;
        for (node = start; _stamp[node] != _time; node = ParentOf(node))
            (_stamp[node], _distance[node]) = (_time, distance--);
        return total;
    }
}
