//! Cutting plans: sawn again by their own cut lists, and held against plain enumeration.

use proptest::prelude::*;

use stopwright::wood::stock::{Area, Board, CuttingPlan, NoPlan, Piece, Saw, Stock, battens, plan};

fn piece(name: &str, length: f64, width: f64, count: usize, may_turn: bool) -> Piece {
    Piece { name: name.into(), length, width, count, may_turn }
}

/// Saws the board as its cuts say: each cut goes through a part that is there, edge to edge.
fn sawn(board: &Board, stock: &Stock) -> Vec<Area> {
    let mut parts = vec![Area { x: [0.0, board.length], y: [0.0, stock.width] }];
    for cut in &board.cuts {
        let i = parts.iter().position(|p| *p == cut.from).unwrap_or_else(|| panic!("{cut:?} of {parts:?}"));
        let from = parts.swap_remove(i);
        let [near, far] = match cut.saw {
            Saw::Rip => [Area { y: [from.y[0], cut.kerf[0]], ..from }, Area { y: [cut.kerf[1], from.y[1]], ..from }],
            Saw::Crosscut => {
                [Area { x: [from.x[0], cut.kerf[0]], ..from }, Area { x: [cut.kerf[1], from.x[1]], ..from }]
            }
        };
        let end = if cut.saw == Saw::Rip { from.y[1] } else { from.x[1] };
        let kerf = cut.kerf[1] - cut.kerf[0];
        let whole = (kerf - stock.kerf).abs() < 1e-9;
        let margin = cut.kerf[0] == 0.0 || cut.kerf[1] == end;
        assert!(whole || (margin && kerf < stock.kerf), "{cut:?}");
        parts.extend([near, far].into_iter().filter(|a| a.x[0] < a.x[1] && a.y[0] < a.y[1]));
    }
    parts
}

/// Everything that must hold of any plan.
fn check(plan: &CuttingPlan, pieces: &[Piece], stock: &Stock) {
    let mut counts = vec![0; pieces.len()];
    let [ends, sides] = [stock.trim_ends, stock.trim_sides];
    for board in &plan.boards {
        let mut parts = sawn(board, stock);
        for placed in &board.placements {
            let i = parts.iter().position(|p| *p == placed.area).unwrap_or_else(|| panic!("{placed:?} of {parts:?}"));
            parts.swap_remove(i);
            counts[placed.piece] += 1;
            let piece = &pieces[placed.piece];
            let Area { x, y } = placed.area;
            let [along, across] = if placed.turned { [piece.width, piece.length] } else { [piece.length, piece.width] };
            assert!(!placed.turned || piece.may_turn);
            assert!((x[1] - x[0] - along).abs() < 1e-9 && (y[1] - y[0] - across).abs() < 1e-9, "{placed:?}");
            assert!(x[0] >= ends && x[1] <= board.length - ends + 1e-9, "{placed:?}");
            assert!(y[0] >= sides && y[1] <= stock.width - sides + 1e-9, "{placed:?}");
        }
        // What is left are the offcuts, and the trimmings of the near edges.
        parts.retain(|p| !(p.x[0] == 0.0 && p.x[1] <= ends || p.y[0] == 0.0 && p.y[1] <= sides));
        assert_eq!(parts.len(), board.offcuts.len(), "{parts:?} {board:?}");
        assert!(board.offcuts.iter().all(|o| parts.contains(o)));
        assert!(board.offcuts.windows(2).all(|w| w[0].size() >= w[1].size()));
        for (i, a) in board.placements.iter().enumerate() {
            for b in &board.placements[..i] {
                let gap = |a: [f64; 2], b: [f64; 2]| f64::max(a[0] - b[1], b[0] - a[1]);
                let apart = gap(a.area.x, b.area.x).max(gap(a.area.y, b.area.y));
                assert!(apart >= stock.kerf - 1e-9, "{a:?} {b:?}");
            }
        }
    }
    assert_eq!(counts, pieces.iter().map(|p| p.count).collect::<Vec<_>>());
    assert!(plan.least_length <= plan.length && (0.0..=1.0).contains(&plan.waste), "{plan:?}");
    let area: f64 = pieces.iter().map(|p| p.length * p.width * p.count as f64).sum();
    assert!(plan.least_length * stock.width >= area - 1e-6);
}

/// The best of the pattern by plain enumeration: every piece into every strip, section and board there is or a new one,
/// each way; what does not fit is thrown away at the end. Boards and length of the sections with the kerfs between.
struct Enumeration<'a> {
    stock: &'a Stock,
    pieces: Vec<&'a Piece>,
    /// Boards of sections of strips of pieces.
    boards: Vec<Vec<Vec<Vec<[f64; 2]>>>>,
    best: Option<(usize, f64)>,
}

impl Enumeration<'_> {
    fn best(pieces: &[Piece], stock: &Stock) -> Option<(usize, f64)> {
        let all = pieces.iter().flat_map(|p| std::iter::repeat_n(p, p.count)).collect();
        let mut e = Enumeration { stock, pieces: all, boards: Vec::new(), best: None };
        e.place(0);
        e.best
    }

    fn place(&mut self, n: usize) {
        let Some(piece) = self.pieces.get(n) else { return self.judge() };
        let mut ways = vec![[piece.length, piece.width]];
        ways.extend(piece.may_turn.then_some([piece.width, piece.length]));
        for way in ways {
            for b in 0..=self.boards.len() {
                if b == self.boards.len() && b > 0 && self.stock.length.is_none() {
                    continue;
                }
                self.boards.resize(self.boards.len().max(b + 1), Vec::new());
                for s in 0..=self.boards[b].len() {
                    let sections = self.boards[b].len();
                    self.boards[b].resize(sections.max(s + 1), Vec::new());
                    for t in 0..=self.boards[b][s].len() {
                        let strips = self.boards[b][s].len();
                        self.boards[b][s].resize(strips.max(t + 1), Vec::new());
                        if self.boards[b][s][t].iter().all(|p| p[1] == way[1]) {
                            self.boards[b][s][t].push(way);
                            self.place(n + 1);
                            self.boards[b][s][t].pop();
                        }
                        self.boards[b][s].truncate(strips);
                    }
                    self.boards[b].truncate(sections);
                }
                while self.boards.last().is_some_and(Vec::is_empty) {
                    self.boards.pop();
                }
            }
        }
    }

    fn judge(&mut self) {
        let spread = |sizes: &mut dyn Iterator<Item = f64>| {
            let (sum, count) = sizes.fold((0.0, 0), |(sum, n), x| (sum + x, n + 1));
            sum + self.stock.kerf * f64::from(count - 1)
        };
        let [ends, sides] = [2.0 * self.stock.trim_ends, 2.0 * self.stock.trim_sides];
        let mut total = 0.0;
        for board in &self.boards {
            let mut lengths = Vec::new();
            for section in board {
                let longest = section.iter().flatten().map(|p| p[0]).fold(0.0, f64::max);
                let fits = |strip: &Vec<[f64; 2]>| spread(&mut strip.iter().map(|p| p[0])) <= longest;
                if !section.iter().all(fits) || spread(&mut section.iter().map(|s| s[0][1])) + sides > self.stock.width
                {
                    return;
                }
                lengths.push(longest);
            }
            let used = spread(&mut lengths.into_iter()) + ends;
            if self.stock.length.is_some_and(|l| used > l) {
                return;
            }
            total += used;
        }
        let cost = (self.boards.len(), total);
        self.best = Some(self.best.map_or(cost, |b| if cost < b { cost } else { b }));
    }
}

fn pieces(
    kinds: usize,
    sizes: std::ops::Range<i32>,
    counts: std::ops::Range<usize>,
) -> impl Strategy<Value = Vec<Piece>> {
    let kind = (sizes.clone(), sizes, counts, any::<bool>());
    prop::collection::vec(kind, 1..=kinds).prop_map(|kinds| {
        kinds.iter().map(|(l, w, n, turn)| piece("part", f64::from(*l), f64::from(*w), *n, *turn)).collect()
    })
}

fn stock(lengths: std::ops::Range<i32>, widths: std::ops::Range<i32>) -> impl Strategy<Value = Stock> {
    let kerf = prop::sample::select(vec![0.0, 1.0, 3.0]);
    let trim = prop::sample::select(vec![0.0, 2.0, 5.0]);
    (prop::option::of(lengths), widths, kerf, trim.clone(), trim).prop_map(|(length, width, kerf, ends, sides)| Stock {
        length: length.map(f64::from),
        width: f64::from(width),
        kerf,
        trim_ends: ends,
        trim_sides: sides,
        held: 0.0,
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    /// Few pieces: as good as enumeration, and proven to be.
    #[test]
    fn few_pieces_are_planned_as_well_as_can_be(
        pieces in pieces(3, 5..60, 1..3).prop_filter("few", |p| p.iter().map(|p| p.count).sum::<usize>() <= 5),
        stock in stock(60..110, 50..90),
    ) {
        match (plan(&pieces, &stock), Enumeration::best(&pieces, &stock)) {
            (Ok(plan), Some((boards, length))) => {
                check(&plan, &pieces, &stock);
                prop_assert!(plan.proven());
                prop_assert_eq!(plan.boards.len(), boards);
                if stock.length.is_none() {
                    prop_assert_eq!(plan.length, length);
                }
            }
            (Err(NoPlan::TooLarge { .. }), None) => {}
            (ours, theirs) => prop_assert!(false, "{ours:?} {theirs:?}"),
        }
    }

    /// Many pieces: a plan that can be sawn, with a bound that no area gainsays.
    #[test]
    fn many_pieces_come_out_of_the_boards(pieces in pieces(10, 10..300, 1..4), stock in stock(350..1300, 320..700)) {
        let plan = plan(&pieces, &stock).unwrap();
        check(&plan, &pieces, &stock);
    }

    /// Battens: the fewest, by trying every piece in every batten.
    #[test]
    fn battens_are_as_few_as_can_be(lengths in prop::collection::vec(20..70i32, 1..8), kerf in 0..4i32) {
        fn fewest(lengths: &[i32], room: i32, kerf: i32, battens: &mut Vec<i32>) -> usize {
            let Some((first, rest)) = lengths.split_first() else { return battens.len() };
            let mut best = usize::MAX;
            for b in 0..battens.len() {
                if battens[b] + first + kerf <= room + kerf {
                    battens[b] += first + kerf;
                    best = best.min(fewest(rest, room, kerf, battens));
                    battens[b] -= first + kerf;
                }
            }
            battens.push(first + kerf);
            best = best.min(fewest(rest, room, kerf, battens));
            battens.pop();
            best
        }
        let pieces: Vec<Piece> = lengths.iter().map(|l| piece("strip", f64::from(*l), 20.0, 1, true)).collect();
        let stock = Stock { length: Some(100.0), width: 20.0, kerf: f64::from(kerf), trim_ends: 0.0, trim_sides: 9.0, held: 0.0 };
        let plan = battens(&pieces, &stock).unwrap();
        check(&plan, &pieces, &Stock { trim_sides: 0.0, ..stock });
        prop_assert!(plan.proven() && plan.boards.iter().flat_map(|b| &b.cuts).all(|c| c.saw == Saw::Crosscut));
        prop_assert_eq!(plan.boards.len(), fewest(&lengths, 100, kerf, &mut Vec::new()));
    }
}

/// Twenty pieces of ten kinds, each twice, none of which may turn.
#[test]
fn the_same_pieces_always_give_the_same_plan() {
    let sizes = [290, 260, 235, 210, 180, 160, 120, 95, 70, 45];
    let piece_of = |(i, l): (usize, &i32)| piece("part", f64::from(*l), f64::from(30 + 17 * i as i32), 2, false);
    let pieces: Vec<Piece> = sizes.iter().enumerate().map(piece_of).collect();
    let stock = Stock { length: Some(600.0), width: 320.0, kerf: 3.2, trim_ends: 5.0, trim_sides: 5.0, held: 0.0 };
    let first = plan(&pieces, &stock).unwrap();
    check(&first, &pieces, &stock);
    assert_eq!(first, plan(&pieces, &stock).unwrap());
}

/// What is held at the last cut stays whole at the far end, and a board as long as needed is longer by it.
#[test]
fn what_is_held_stays_whole() {
    let pieces = [piece("strip", 50.0, 20.0, 6, false)];
    for (length, boards) in [(None, 1), (Some(900.0), 1), (Some(480.0), 2)] {
        let stock = Stock { length, width: 20.0, kerf: 2.0, trim_ends: 10.0, trim_sides: 0.0, held: 300.0 };
        let plan = battens(&pieces, &stock).unwrap();
        check(&plan, &pieces, &stock);
        assert_eq!(plan.boards.len(), boards, "{length:?}");
        for board in &plan.boards {
            let last = board.placements.iter().map(|p| p.area.x[1]).fold(0.0, f64::max);
            assert!(board.length - last >= 310.0 - 1e-9, "{board:?}");
        }
    }
    let none = battens(
        &pieces,
        &Stock { length: Some(365.0), width: 20.0, kerf: 2.0, trim_ends: 10.0, trim_sides: 0.0, held: 300.0 },
    );
    assert_eq!(
        none.unwrap_err().to_string(),
        "strip is 50 × 20 mm: it needs stock of 370 × 20 mm, and there is 365 × 20 mm"
    );
}
