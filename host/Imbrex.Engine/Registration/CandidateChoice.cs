namespace Imbrex.Engine.Registration;

/// <summary>What was chosen.</summary>
/// <param name="Placements">The placements that the chosen ways lead to; frames without any stay where the plan puts them.</param>
/// <param name="Chosen">The ways that agree with these placements, one for each pair that has one.</param>
internal sealed record CandidateSet(IReadOnlyList<Placement> Placements, IReadOnlyList<PairCandidate> Chosen);

/// <summary>
/// Chooses among the ways in which pairs may fit together those that agree with one another round the loops and with the plan: frames are placed one
/// after the other by the pair that is least in doubt, then each is moved to where its neighbours would rather have it, until none moves.
/// </summary>
internal static class CandidateChoice
{
    /// <summary>
    /// What a way costs for each unit of certain correlation (Fisher's transform) that it lacks against the best of its pair. Equal things that stand
    /// in a row differ by a few hundredths from place to place, by how their edges fall between pixels: then the plan decides. Things
    /// that only look alike differ by some tenths.
    /// </summary>
    private const double CostOfCorrelation = 30;

    /// <summary>Most that a pair can cost.</summary>
    private const double MostCost = 10;

    /// <summary>By how much placements made of ways at reduced size may disagree, px; one standard deviation.</summary>
    private const double Slack = 4;

    /// <summary>Evidence and certain correlation from which on a pair counts in full.</summary>
    private const double FullEvidence = 100, FullCorrelation = 0.5;

    private const int MostSweeps = 8;

    /// <summary>Chooses.</summary>
    /// <param name="frames">The frames.</param>
    /// <param name="pairs">For each pair its ways, best first.</param>
    /// <param name="prior">How far the plan may be trusted.</param>
    public static CandidateSet Choose(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReadOnlyList<PairCandidate>> pairs, PlacementPrior prior)
    {
        var state = new State(frames, [.. pairs.Where(pair => pair.Count > 0)], prior);
        state.Grow();
        for (int sweep = 0; sweep < MostSweeps && state.Improve(); sweep++)
        {
        }
        IReadOnlyList<Placement> placements = state.Placements;
        IReadOnlyList<PairCandidate> chosen = state.Agreeing(placements);
        // All together, since errors of single pairs add up along chains.
        IReadOnlyList<Tie> ties = [.. chosen.SelectMany(way => new[] { way.First, way.Second })];
        placements = PoseSolver.Solve(frames, placements, ties, prior).Placements;
        return new(placements, state.Agreeing(placements));
    }

    /// <summary>Root mean square of what a way's two spots disagree by, px.</summary>
    public static double Disagreement(PairCandidate way, IReadOnlyList<Placement> placements)
    {
        (double x1, double y1) = way.First.Disagreement(placements);
        (double x2, double y2) = way.Second.Disagreement(placements);
        return Math.Sqrt((x1 * x1 + y1 * y1 + x2 * x2 + y2 * y2) / 2);
    }

    private sealed class State(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReadOnlyList<PairCandidate>> pairs, PlacementPrior prior)
    {
        private readonly Placement[] _placements = [.. frames.Select(f => f.Nominal)];
        private readonly bool[] _placed = new bool[frames.Count];

        public IReadOnlyList<Placement> Placements => _placements;

        public void Grow()
        {
            while (true)
            {
                IReadOnlyList<PairCandidate>? next = Strongest(pair => _placed[pair[0].A] != _placed[pair[0].B]);
                if (next is null)
                {
                    if (Strongest(pair => !_placed[pair[0].A] && !_placed[pair[0].B]) is not { } seed)
                        return;
                    _placed[seed[0].A] = true;
                    continue;
                }
                int frame = _placed[next[0].A] ? next[0].B : next[0].A;
                _placed[frame] = true;
                MoveBest(frame, always: true);
            }
        }

        public bool Improve()
        {
            bool moved = false;
            for (int frame = 0; frame < _placements.Length; frame++)
                moved |= _placed[frame] && MoveBest(frame, always: false);
            return moved;
        }

        public IReadOnlyList<PairCandidate> Agreeing(IReadOnlyList<Placement> placements) =>
            [.. pairs.Select(pair => pair.MinBy(way => Cost(way, pair, placements))!).Where(way => Disagreement(way, placements) < Math.Sqrt(2 * MostCost) * Slack)];

        private IReadOnlyList<PairCandidate>? Strongest(Func<IReadOnlyList<PairCandidate>, bool> where) => pairs.Where(where).MaxBy(pair => Weight(pair) * (pair[0].Certain - (pair.Count > 1 ? pair[1].Certain : 0)));

        // Where each neighbour's ways would put the frame; the cheapest is taken.
        private bool MoveBest(int frame, bool always)
        {
            IReadOnlyList<PairCandidate>[] joined = [.. pairs.Where(pair => (pair[0].A == frame && _placed[pair[0].B]) || (pair[0].B == frame && _placed[pair[0].A]))];
            Placement before = _placements[frame], best = before;
            double cost = always ? double.PositiveInfinity : Cost(frame, joined) - 1e-6;
            bool moved = false;
            foreach (PairCandidate way in joined.SelectMany(pair => pair))
            {
                Placement there = Place(way, frame);
                _placements[frame] = there;
                double now = Cost(frame, joined);
                if (now < cost)
                    (best, cost, moved) = (there, now, true);
            }
            _placements[frame] = best;
            return moved;
        }

        private double Cost(int frame, IReadOnlyList<PairCandidate>[] joined)
        {
            double cost = PlanCost(frame);
            foreach (IReadOnlyList<PairCandidate> pair in joined)
                cost += Weight(pair) * Math.Min(Limit(pair), pair.Min(way => Cost(way, pair, _placements)));
            return cost;
        }

        // A full list leaves out ways that are hardly worse than its last.
        private static double Limit(IReadOnlyList<PairCandidate> pair) =>
            pair.Count < PairSearch.MostAtLast ? MostCost : Math.Min(MostCost, CostOfCorrelation * (pair[0].Certain - pair[^1].Certain) + 1);

        private static double Weight(IReadOnlyList<PairCandidate> pair) => Math.Min(1, pair[0].Evidence / FullEvidence) * Math.Min(1, pair[0].Certain / FullCorrelation);

        private static double Cost(PairCandidate way, IReadOnlyList<PairCandidate> pair, IReadOnlyList<Placement> placements)
        {
            double far = Disagreement(way, placements) / Slack;
            return CostOfCorrelation * (pair[0].Certain - way.Certain) + far * far / 2;
        }

        // How far the frame is off its plan, the others' mean error taken off, which no picture can tell.
        private double PlanCost(int frame)
        {
            double x = 0, y = 0, count = 0;
            for (int i = 0; i < _placements.Length; i++)
            {
                if (!_placed[i] || i == frame)
                    continue;
                (x, y, count) = (x + _placements[i].X - frames[i].Nominal.X, y + _placements[i].Y - frames[i].Nominal.Y, count + 1);
            }
            (double offX, double offY) = (_placements[frame].X - frames[frame].Nominal.X - x / Math.Max(count, 1), _placements[frame].Y - frames[frame].Nominal.Y - y / Math.Max(count, 1));
            double turned = (_placements[frame].Angle - frames[frame].Nominal.Angle) / prior.Radians;
            return (offX * offX + offY * offY) / (2 * prior.Pixels * prior.Pixels) + turned * turned / 2;
        }

        // The rigid motion that lays the frame's two spots over its neighbour's.
        private Placement Place(PairCandidate way, int frame)
        {
            (double X, double Y)[] own = new (double, double)[2], there = new (double, double)[2];
            for (int i = 0; i < 2; i++)
            {
                Tie spot = i == 0 ? way.First : way.Second;
                bool isA = way.A == frame;
                own[i] = isA ? (spot.Ax, spot.Ay) : (spot.Bx, spot.By);
                there[i] = isA ? _placements[way.B].ToCanvas(spot.Bx, spot.By) : _placements[way.A].ToCanvas(spot.Ax, spot.Ay);
            }
            double angle = Math.Atan2(there[1].Y - there[0].Y, there[1].X - there[0].X) - Math.Atan2(own[1].Y - own[0].Y, own[1].X - own[0].X);
            angle = Math.IEEERemainder(angle, 2 * Math.PI);
            (double sin, double cos) = Math.SinCos(angle);
            (double x, double y) = ((own[0].X + own[1].X) / 2, (own[0].Y + own[1].Y) / 2);
            return new((there[0].X + there[1].X) / 2 - cos * x + sin * y, (there[0].Y + there[1].Y) / 2 - sin * x - cos * y, angle);
        }
    }
}
