//! The search: branch and bound over sections, strips and pieces, in whole micrometres.
//!
//! Pieces are placed in order of falling length, so that the first of a section is its longest. A kind that may turn
//! stands twice in that order, and a copy passed over the first time is placed the second time. Copies of a kind go to
//! places in rising order, and of equal places only the first is tried.

/// Steps after which the search ends: a few milliseconds.
const MOST_STEPS: usize = 5_000;

/// A kind of piece; sizes have a kerf added.
#[derive(Debug, Clone)]
pub struct Item {
    pub length: i64,
    pub width: i64,
    pub count: usize,
    pub may_turn: bool,
}

/// What a board has for pieces; sizes have a kerf added.
#[derive(Debug, Clone)]
pub struct Room {
    /// `None`: one board, as long as needed.
    pub length: Option<i64>,
    pub width: i64,
}

impl Item {
    /// The ways it fits the room: turned or not, size along and across the board.
    pub fn ways(&self, room: &Room) -> impl Iterator<Item = (bool, i64, i64)> {
        let (most_length, most_width) = (room.length.unwrap_or(i64::MAX), room.width);
        [(false, self.length, self.width), (true, self.width, self.length)]
            .into_iter()
            .filter(move |(turned, l, w)| (self.may_turn || !turned) && *l <= most_length && *w <= most_width)
    }
}

/// A kind of piece, lying one way.
#[derive(Debug, Clone)]
pub struct Entry {
    pub kind: usize,
    pub turned: bool,
    pub length: i64,
    pub width: i64,
    /// No later entry has this kind.
    last: bool,
}

/// A section: its board, its length and the width still free.
#[derive(Debug, Clone)]
pub struct BoardSection {
    pub board: usize,
    pub length: i64,
    free: i64,
}

/// A strip: its section, its width and the length still free.
#[derive(Debug, Clone)]
pub struct Strip {
    pub section: usize,
    pub width: i64,
    free: i64,
}

/// What lies where.
#[derive(Debug, Clone, Default)]
pub struct Packing {
    pub entries: Vec<Entry>,
    /// Length still free on each board.
    boards: Vec<i64>,
    pub sections: Vec<BoardSection>,
    pub strips: Vec<Strip>,
    /// Entry and strip of each piece.
    pub placed: Vec<(usize, usize)>,
    /// Length of all sections together.
    length: i64,
}

impl Packing {
    /// How many boards it uses.
    pub fn boards(&self) -> usize {
        self.boards.len()
    }

    fn cost(&self) -> Cost {
        (self.boards.len(), self.length)
    }
}

/// Boards, then length of the sections.
type Cost = (usize, i64);

/// The best packing found, with what no packing can do with less of.
pub struct Found {
    pub packing: Packing,
    /// Fewest boards.
    pub fewest: usize,
    /// Least length of all sections together, kerfs included.
    pub shortest: i64,
}

/// Searches the best packing; every item must fit the room some way.
pub fn search(items: &[Item], room: &Room) -> Found {
    let mut search = Search::new(items, room);
    let (boards, length) = search.bound(0);
    let root = (boards.max(search.fewest_by_length()), length);
    search.root = root;
    // A first packing with everything turned that can be, then all others.
    search.turn_first = true;
    search.step(0, Last::default());
    search.stop = search.best_cost() <= root;
    search.turn_first = false;
    search.steps = 0;
    search.step(0, Last::default());
    let complete = !search.stop || search.best_cost() <= root;
    let packing = search.best.unwrap_or_default();
    let (fewest, shortest) = if complete { packing.cost() } else { root };
    Found { packing, fewest, shortest }
}

/// Where the last copy of a kind went, to place the next one no earlier.
#[derive(Debug, Clone, Copy, Default)]
struct Last {
    strip: usize,
    section: usize,
    board: usize,
}

struct Search<'a> {
    items: &'a [Item],
    room: &'a Room,
    /// Length and width of each kind for the bounds, before and after its first way is past. A piece that may still lie
    /// either way counts as no longer and no wider than its shorter side.
    sizes: Vec<[(i64, i64); 2]>,
    /// Copies still to be placed.
    left: Vec<usize>,
    /// Kinds of which the first way is past.
    past: Vec<bool>,
    now: Packing,
    best: Option<Packing>,
    root: Cost,
    turn_first: bool,
    steps: usize,
    stop: bool,
}

/// A piece as the bounds see it.
struct Rest {
    length: i64,
    width: i64,
    count: i64,
}

impl<'a> Search<'a> {
    fn new(items: &'a [Item], room: &'a Room) -> Self {
        let mut entries = Vec::new();
        for (kind, item) in items.iter().enumerate() {
            entries.extend(item.ways(room).map(|(turned, length, width)| Entry {
                kind,
                turned,
                length,
                width,
                last: false,
            }));
        }
        entries.sort_by_key(|e| std::cmp::Reverse((e.length, e.width)));
        for i in 0..entries.len() {
            entries[i].last = entries[i + 1..].iter().all(|e| e.kind != entries[i].kind);
        }
        let sizes = (0..items.len()).map(|kind| sizes(&entries, kind)).collect();
        let left = items.iter().map(|i| i.count).collect();
        let now = Packing { entries, ..Packing::default() };
        let past = vec![false; items.len()];
        Self { items, room, sizes, left, past, now, best: None, root: (0, 0), turn_first: false, steps: 0, stop: false }
    }

    fn best_cost(&self) -> Cost {
        self.best.as_ref().map_or((usize::MAX, i64::MAX), Packing::cost)
    }

    /// Places what is left from entry `e` on, every way that may be better than the best.
    fn step(&mut self, e: usize, last: Last) {
        if self.stop {
            return;
        }
        let Some(entry) = self.now.entries.get(e).cloned() else {
            if self.now.cost() < self.best_cost() {
                self.best = Some(self.now.clone());
            }
            self.stop = self.turn_first || self.best_cost() <= self.root;
            return;
        };
        if self.left[entry.kind] == 0 {
            return self.step(e + 1, Last::default());
        }
        self.steps += 1;
        if self.steps > MOST_STEPS {
            self.stop = true;
            return;
        }
        if self.best.is_some() && self.bound(e) >= self.best_cost() {
            return;
        }
        if self.turn_first && !entry.last {
            return self.pass(e, entry.kind);
        }
        self.left[entry.kind] -= 1;
        self.try_strips(e, &entry, last);
        self.try_sections(e, &entry, last);
        self.try_boards(e, &entry, last);
        self.left[entry.kind] += 1;
        if !entry.last {
            self.pass(e, entry.kind);
        }
    }

    /// Leaves the copies of a kind for its other way.
    fn pass(&mut self, e: usize, kind: usize) {
        self.past[kind] = true;
        self.step(e + 1, Last::default());
        self.past[kind] = false;
    }

    /// At the end of a strip of its width, the fullest first.
    fn try_strips(&mut self, e: usize, entry: &Entry, last: Last) {
        let strips = self.now.strips.iter().enumerate().skip(last.strip);
        let mut fit: Vec<(i64, usize)> = strips
            .filter(|(_, s)| s.width == entry.width && s.free >= entry.length)
            .map(|(i, s)| (s.free, i))
            .collect();
        fit.sort_unstable();
        fit.dedup_by_key(|(free, _)| *free);
        for (_, i) in fit {
            self.now.strips[i].free -= entry.length;
            self.put(e, i, Last { strip: i, ..last });
            self.now.strips[i].free += entry.length;
        }
    }

    /// In a new strip of a section, the fullest first.
    fn try_sections(&mut self, e: usize, entry: &Entry, last: Last) {
        let sections = self.now.sections.iter().enumerate().skip(last.section);
        let mut fit: Vec<(i64, i64, usize)> =
            sections.filter(|(_, s)| s.free >= entry.width).map(|(i, s)| (s.free, s.length, i)).collect();
        fit.sort_unstable();
        fit.dedup_by_key(|(free, length, _)| (*free, *length));
        for (_, _, i) in fit {
            self.open_strip(e, entry, i, last);
        }
    }

    /// In a new section of a board, the fullest first, or of a new board.
    fn try_boards(&mut self, e: usize, entry: &Entry, last: Last) {
        let boards = self.now.boards.iter().enumerate().skip(last.board);
        let mut fit: Vec<(i64, usize)> =
            boards.filter(|(_, free)| **free >= entry.length).map(|(i, free)| (*free, i)).collect();
        fit.sort_unstable();
        fit.dedup_by_key(|(free, _)| *free);
        for (_, i) in fit {
            self.open_section(e, entry, i, last);
        }
        if self.room.length.is_some() || self.now.boards.is_empty() {
            // A board as long as needed has room for anything that can be asked for.
            self.now.boards.push(self.room.length.unwrap_or(i64::MAX / 4));
            self.open_section(e, entry, self.now.boards.len() - 1, last);
            self.now.boards.pop();
        }
    }

    fn open_section(&mut self, e: usize, entry: &Entry, board: usize, last: Last) {
        self.now.boards[board] -= entry.length;
        self.now.length += entry.length;
        self.now.sections.push(BoardSection { board, length: entry.length, free: self.room.width });
        self.open_strip(e, entry, self.now.sections.len() - 1, Last { board, ..last });
        self.now.sections.pop();
        self.now.length -= entry.length;
        self.now.boards[board] += entry.length;
    }

    fn open_strip(&mut self, e: usize, entry: &Entry, section: usize, last: Last) {
        let strip = self.now.strips.len();
        self.now.sections[section].free -= entry.width;
        let free = self.now.sections[section].length - entry.length;
        self.now.strips.push(Strip { section, width: entry.width, free });
        self.put(e, strip, Last { strip, section, ..last });
        self.now.strips.pop();
        self.now.sections[section].free += entry.width;
    }

    fn put(&mut self, e: usize, strip: usize, last: Last) {
        self.now.placed.push((e, strip));
        self.step(e, last);
        self.now.placed.pop();
    }

    /// What the packing so far and the rest, from entry `e` on, cost at least.
    fn bound(&self, e: usize) -> Cost {
        let rest = self.rest();
        let Some(smallest) = rest.iter().map(|r| r.length.min(r.width)).min() else { return self.now.cost() };
        let more = self.by_area(smallest).max(self.by_width(&rest, self.now.entries[e].length));
        let boards = match self.room.length {
            None => 1,
            Some(one) => {
                let free: i64 = self.now.boards.iter().filter(|free| **free >= smallest).sum();
                self.now.boards.len() + ceil((more - free).max(0), one) as usize
            }
        };
        (boards, self.now.length + more)
    }

    /// What is left to be placed.
    fn rest(&self) -> Vec<Rest> {
        let kinds = self.sizes.iter().zip(&self.left).zip(&self.past).filter(|((_, left), _)| **left > 0);
        kinds
            .map(|((sizes, left), past)| {
                let (length, width) = sizes[usize::from(*past)];
                Rest { length, width, count: *left as i64 }
            })
            .collect()
    }

    /// Length of further sections by area alone; what is narrower than `smallest` is lost.
    fn by_area(&self, smallest: i64) -> i64 {
        let rest: i64 = self.items.iter().zip(&self.left).map(|(i, n)| i.length * i.width * *n as i64).sum();
        let sections: i64 = self.now.sections.iter().filter(|s| s.free >= smallest).map(|s| s.free * s.length).sum();
        let strips: i64 = self.now.strips.iter().filter(|s| s.free >= smallest).map(|s| s.free * s.width).sum();
        ceil((rest - sections - strips).max(0), self.room.width)
    }

    /// Length of further sections by the widths of the pieces: those of length ℓ and more that find no place in the
    /// sections there are need some number of sections of length ℓ and more, for every ℓ. Further sections are no
    /// longer than `longest`.
    fn by_width(&self, rest: &[Rest], longest: i64) -> i64 {
        let mut lengths: Vec<i64> = rest.iter().map(|r| r.length).collect();
        lengths.sort_unstable_by(|a, b| b.cmp(a));
        lengths.dedup();
        let (mut sections, mut sum) = (0, 0);
        for length in lengths {
            let needed = self.sections_of(rest, length, longest);
            if needed > sections {
                sum += (needed - sections) * length;
                sections = needed;
            }
        }
        sum
    }

    /// How many further sections the pieces of `length` and more need: by the sum of their widths, and by the number of
    /// those that take more than half the board's width.
    fn sections_of(&self, rest: &[Rest], length: i64, longest: i64) -> i64 {
        let half = self.room.width / 2;
        let (mut width, mut broad) = (0, 0);
        for r in rest.iter().filter(|r| r.length >= length) {
            width += r.width * r.count;
            broad += if r.width > half { r.count } else { 0 };
        }
        for s in &self.now.sections {
            width -= s.free * (s.length / length);
            broad -= if s.free > half { s.length / length } else { 0 };
        }
        for s in &self.now.strips {
            width -= s.width * (s.free / length);
            broad -= if s.width > half { s.free / length } else { 0 };
        }
        let in_a_row = longest / length;
        ceil(width.max(0), self.room.width * in_a_row).max(ceil(broad.max(0), in_a_row))
    }

    /// Fewest boards by the lengths of the pieces broader than half the board, no two of which lie side by side. By
    /// number: of those of some length and more, a board holds so many. By length: for every λ those longer than the
    /// room less λ stand alone, those longer than half the room share with none of their like, and the others, down to
    /// λ, fill what is left.
    fn fewest_by_length(&self) -> usize {
        let Some(room) = self.room.length else { return 0 };
        let broad: Vec<Rest> = self.rest().into_iter().filter(|r| r.width > self.room.width / 2).collect();
        let by_number = broad.iter().map(|r| {
            let as_long: i64 = broad.iter().filter(|o| o.length >= r.length).map(|o| o.count).sum();
            ceil(as_long, room / r.length)
        });
        let smallest = broad.iter().map(|r| r.length).filter(|l| 2 * l <= room).chain([0]);
        let fewest = by_number.chain(smallest.map(|small| {
            let (mut boards, mut left) = (0, 0);
            for r in broad.iter().filter(|r| r.length >= small) {
                if 2 * r.length > room {
                    boards += r.count;
                    left += if r.length > room - small { 0 } else { r.count * (room - r.length) };
                } else {
                    left -= r.count * r.length;
                }
            }
            boards + ceil((-left).max(0), room)
        }));
        fewest.max().unwrap_or(0) as usize
    }
}

/// Sizes of a kind while it may lie either way, and when only its last way is left.
fn sizes(entries: &[Entry], kind: usize) -> [(i64, i64); 2] {
    let ways = || entries.iter().filter(|e| e.kind == kind);
    let least = |size: fn(&Entry) -> i64| ways().map(size).min().unwrap_or(0);
    let late = ways().next_back().map_or((0, 0), |e| (e.length, e.width));
    [(least(|e| e.length), least(|e| e.width)), late]
}

/// `a / b` rounded up; neither is negative.
fn ceil(a: i64, b: i64) -> i64 {
    a.div_euclid(b) + i64::from(a % b > 0)
}
