using System.Buffers;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Improves which frame shows in which cell: for one frame after the other, the best set of cells to give to it is found exactly by a
/// smallest cut, until no frame gains (expansion moves of Boykov, Veksler and Zabih, IEEE PAMI 23(11) 2001). The cost never rises, and any
/// number of frames may meet.
/// </summary>
internal static class SeamCut
{
    /// <summary>Most rounds over all frames; two usually do.</summary>
    private const int MostRounds = 6;

    /// <summary>Improves labels in place.</summary>
    /// <param name="costs">What it costs.</param>
    /// <param name="labels">One for each cell, row after row; cells of <see cref="SeamMap.None"/> stay as they are.</param>
    /// <param name="isFree">Which cells may change; null: all.</param>
    /// <param name="cancellation">Cancels the work.</param>
    public static void Improve(ISeamCosts costs, byte[] labels, bool[]? isFree, CancellationToken cancellation)
    {
        var graph = new CutGraph();
        var nodes = new List<(int Column, int Row)>();
        int unchanged = 0;
        for (int move = 0; move < MostRounds * costs.Labels && unchanged < costs.Labels; move++)
        {
            cancellation.ThrowIfCancellationRequested();
            unchanged = new Expansion(costs, labels, isFree, (byte)(move % costs.Labels), graph, nodes).Run() ? 1 : unchanged + 1;
        }
    }

    /// <summary>What labels cost together.</summary>
    public static long Cost(ISeamCosts costs, byte[] labels)
    {
        long sum = 0;
        for (int row = 0; row < costs.Rows; row++)
        {
            for (int column = 0; column < costs.Columns; column++)
            {
                byte label = labels[row * costs.Columns + column];
                if (label == SeamMap.None)
                    continue;
                sum += costs.Show(label, column, row);
                if (column + 1 < costs.Columns && labels[row * costs.Columns + column + 1] is var right && right != label && right != SeamMap.None)
                    sum += costs.Cut(label, right, column, row, column + 1, row);
                if (row + 1 < costs.Rows && labels[(row + 1) * costs.Columns + column] is var below && below != label && below != SeamMap.None)
                    sum += costs.Cut(label, below, column, row, column, row + 1);
            }
        }
        return sum;
    }

    /// <summary>One frame's move.</summary>
    private readonly struct Expansion(ISeamCosts costs, byte[] labels, bool[]? isFree, byte wanted, CutGraph graph, List<(int Column, int Row)> nodes)
    {
        private readonly int _columns = costs.Columns;

        public bool Run()
        {
            nodes.Clear();
            (int first, int last) = costs.RowsOf(wanted);
            for (int row = first; row <= last; row++)
            {
                CellSpan span = costs.Allowed(wanted, row);
                for (int column = span.First; column <= span.Last; column++)
                {
                    int cell = row * _columns + column;
                    if (labels[cell] != wanted && labels[cell] != SeamMap.None && (isFree is null || isFree[cell]))
                        nodes.Add((column, row));
                }
            }
            if (nodes.Count == 0)
                return false;
            // The cells that may change, and one all round, so that neighbours need no test.
            int left = nodes.Min(node => node.Column) - 1, width = nodes.Max(node => node.Column) + 2 - left, top = nodes[0].Row - 1, length = (nodes[^1].Row + 2 - top) * width;
            int[] rented = ArrayPool<int>.Shared.Rent(length);
            try
            {
                var numbers = new NodeNumbers(rented, left, top, width);
                rented.AsSpan(0, length).Fill(-1);
                for (int i = 0; i < nodes.Count; i++)
                    numbers[nodes[i].Column, nodes[i].Row] = i;
                graph.Begin(nodes.Count);
                for (int i = 0; i < nodes.Count; i++)
                    AddNode(i, numbers);
            }
            finally
            {
                ArrayPool<int>.Shared.Return(rented);
            }
            graph.Cut();
            return Apply();
        }

        private bool Apply()
        {
            bool changed = false;
            for (int i = 0; i < nodes.Count; i++)
            {
                if (!graph.IsSink(i))
                    continue;
                labels[nodes[i].Row * _columns + nodes[i].Column] = wanted;
                changed = true;
            }
            return changed;
        }

        private void AddNode(int node, NodeNumbers numbers)
        {
            (int column, int row) = nodes[node];
            byte own = labels[row * _columns + column];
            graph.AddTerminals(node, costs.Show(wanted, column, row), costs.Show(own, column, row));
            // Towards the right and downwards both cells of a pair are seen; towards the left and upwards only those that stay as they are.
            if (column + 1 < _columns)
                AddPair(node, 0, numbers[column + 1, row], own, column, row, column + 1, row);
            if (row + 1 < costs.Rows)
                AddPair(node, 1, numbers[column, row + 1], own, column, row, column, row + 1);
            if (column > 0 && numbers[column - 1, row] < 0)
                AddFixed(node, labels[row * _columns + column - 1], own, column - 1, row, column, row, isBefore: true);
            if (row > 0 && numbers[column, row - 1] < 0)
                AddFixed(node, labels[(row - 1) * _columns + column], own, column, row - 1, column, row, isBefore: true);
        }

        // Both keep, one takes, the other takes: the four costs of a pair as terms of one cell and a link (Kolmogorov and Zabih, IEEE PAMI
        // 26(2) 2004). Where the triangle's inequality fails, one of the mixed costs is taken as higher than it is: no move can then make things worse.
        private void AddPair(int node, int direction, int other, byte own, int column, int row, int nextColumn, int nextRow)
        {
            byte next = labels[nextRow * _columns + nextColumn];
            if (other < 0)
            {
                AddFixed(node, next, own, column, row, nextColumn, nextRow, isBefore: false);
                return;
            }
            int keep = Cost(own, next, column, row, nextColumn, nextRow);
            int nextTakes = Cost(own, wanted, column, row, nextColumn, nextRow), thisTakes = Cost(wanted, next, column, row, nextColumn, nextRow);
            graph.AddTerminals(node, thisTakes - keep, 0);
            graph.AddTerminals(other, -thisTakes, 0);
            graph.Link(node, direction, other, Math.Max(0, nextTakes + thisTakes - keep));
        }

        private void AddFixed(int node, byte fixedLabel, byte own, int column, int row, int nextColumn, int nextRow, bool isBefore)
        {
            int keep = isBefore ? Cost(fixedLabel, own, column, row, nextColumn, nextRow) : Cost(own, fixedLabel, column, row, nextColumn, nextRow);
            int take = isBefore ? Cost(fixedLabel, wanted, column, row, nextColumn, nextRow) : Cost(wanted, fixedLabel, column, row, nextColumn, nextRow);
            graph.AddTerminals(node, take, keep);
        }

        private int Cost(byte here, byte there, int column, int row, int nextColumn, int nextRow) =>
            here == there || here == SeamMap.None || there == SeamMap.None ? 0 : costs.Cut(here, there, column, row, nextColumn, nextRow);
    }

    /// <summary>The number of every cell's node in a rectangle of cells, or -1.</summary>
    private readonly struct NodeNumbers(int[] numbers, int left, int top, int width)
    {
        public int this[int column, int row]
        {
            get => numbers[(row - top) * width + column - left];
            set => numbers[(row - top) * width + column - left] = value;
        }
    }
}
