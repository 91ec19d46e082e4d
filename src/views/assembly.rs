//! Plan, table, notes and, if wanted, a section on one sheet, or on several of one paper. Papers and scales are tried in
//! a stated order; of the arrangements on which nothing overlaps the one that leaves the least of the paper blank is
//! taken.

use kurbo::{Point, Rect, Size};

use super::plan::{PlanView, Style, Top};
use super::section::{Body, SectionView};
use crate::drawing::filled::{Illustration, LEAST, filled};
use crate::drawing::frame::{BARS_HEIGHT, BARS_WIDTH, Notes, TITLE_BLOCK, Title, check_bars, frame};
use crate::drawing::page::{Block, Pages, REMARK, RUNNING};
use crate::drawing::paper::{FIFTH, FULL, HALF, NONE, Paper, Scale, TENTH, TWENTIETH};
use crate::drawing::table::Table;
use crate::drawing::{Group, Sheet, clash};
use crate::layout::Placed;
use crate::terms::{Edge, PaperSize};

/// Lanes narrower than this leave no room between what is written of one and of the next, mm.
const NARROW: f64 = 8.0;

/// No sheet takes the drawing without an overlap.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("the drawing fits on no sheet up to A3 without overlaps: {}", self.mend())]
pub struct TooLarge {
    /// How many lanes were to be drawn.
    pub lanes: usize,
    /// Whether one is too narrow to be drawn beside another.
    pub narrow: bool,
}

impl TooLarge {
    /// What is said of a drawing of these lanes.
    pub fn of(lanes: &[Placed]) -> Self {
        Self { lanes: lanes.len(), narrow: lanes.iter().any(|lane| lane.x[1] - lane.x[0] < NARROW) }
    }

    fn mend(&self) -> String {
        match self.lanes {
            0 | 1 => {
                "give the lane more clearance (block.clearance), or another thickness or middle of the block".into()
            }
            _ if self.narrow => "give the lanes more clearance (block.clearance)".into(),
            lanes => format!("make two blocks of the {lanes} lanes"),
        }
    }
}

/// What a section through a lane cuts.
type BodyAt<'a> = Box<dyn Fn(&Placed) -> Body<'a> + 'a>;

/// A table, by the way of dimensioning.
type TableOf<'a> = Box<dyn Fn(Style) -> Table + 'a>;

/// What goes on the sheet.
pub struct Assembly<'a> {
    /// Title of the drawing, for readers that cannot see it.
    pub title: String,
    /// The title block, for a scale.
    pub title_block: Box<dyn Fn(Scale) -> Title + 'a>,
    /// Ways of dimensioning in the order they are tried.
    pub styles: &'static [Style],
    /// Papers and scales in the order they are tried.
    pub papers: Vec<(Paper, Scale)>,
    /// What table and notes stand on where they have sheets of their own, and the views are on A3.
    pub text: PaperSize,
    /// What is seen from above.
    pub top: Top<'a>,
    /// What a section through a lane cuts, where it goes on this sheet.
    pub body: Option<BodyAt<'a>>,
    /// The table of lanes, where it goes on this sheet.
    pub table: Option<TableOf<'a>>,
    /// The notes.
    pub notes: Box<dyn Fn(Style, Scale) -> Vec<String> + 'a>,
    /// What a sheet bears that would else be nearly empty.
    pub illustration: &'a Illustration<'a>,
}

/// A sheet with what its title block says, which may yet be told its number.
#[derive(Debug, Clone)]
pub struct Draft {
    /// The sheet.
    pub sheet: Sheet,
    /// What its title block says.
    pub title: Title,
}

impl Draft {
    /// The sheet with its number and that of all in its title block.
    pub fn numbered(mut self, page: [usize; 2]) -> Sheet {
        self.title.page = page;
        let rest = self.sheet.groups.into_iter().filter(|g| g.class != "frame");
        self.sheet.groups = frame(self.sheet.paper, &self.title).into_iter().chain(rest).collect();
        self.sheet
    }
}

/// The sheets of a set with their numbers.
pub fn numbered(drafts: Vec<Draft>) -> Vec<Sheet> {
    let of = drafts.len();
    drafts.into_iter().enumerate().map(|(i, draft)| draft.numbered([i + 1, of])).collect()
}

impl Assembly<'_> {
    /// All on one sheet.
    ///
    /// # Errors
    /// [`TooLarge`] where everything overlaps.
    pub fn sheet(&self) -> Result<Sheet, TooLarge> {
        let one = |drawing: &Drawing, paper, scale| drawing.one(paper, scale);
        self.styles.iter().find_map(|style| self.in_style(*style, one)).ok_or_else(|| TooLarge::of(self.top.lanes))
    }

    /// All on one sheet, else the views on the first and the rest on as many of the same paper as it takes; style by
    /// style and paper by paper.
    ///
    /// # Errors
    /// [`TooLarge`] where even the views alone overlap.
    pub fn sheets(&self) -> Result<Vec<Draft>, TooLarge> {
        let drafts = |drawing: &Drawing, paper: Paper, scale: Scale| {
            let draft = |sheet| Draft { sheet, title: (self.title_block)(scale) };
            match drawing.one(paper, scale) {
                Some(sheet) => Some(vec![draft(sheet)]),
                None => drawing.spread(paper, scale),
            }
        };
        self.styles.iter().find_map(|style| self.in_style(*style, drafts)).ok_or_else(|| TooLarge::of(self.top.lanes))
    }

    /// What `draw` makes of the first paper and scale that it makes anything of.
    fn in_style<T>(&self, style: Style, draw: impl Fn(&Drawing, Paper, Scale) -> Option<T>) -> Option<T> {
        let cut = beside_marks(cut_lane(self.top.lanes, style)?);
        let body = self.body.as_ref().map(|body| body(&cut));
        let drawing = Drawing {
            assembly: self,
            plan: PlanView::new(&self.top, style, &cut),
            section: body.as_ref().map(|body| SectionView::new(body, &cut)),
            table: self.table.as_ref().map(|table| table(style)),
            style,
        };
        let mut papers: Vec<(Paper, Scale)> = Vec::new();
        for (paper, scale) in &self.papers {
            // Both ways of laying a paper are tried together.
            if !papers.iter().any(|(p, s)| p.size == paper.size && s == scale) {
                papers.push((*paper, *scale));
            }
        }
        papers.into_iter().find_map(|(paper, scale)| draw(&drawing, paper, scale))
    }
}

/// How far beside the lane's middle it is cut, by the width of the blade: between the marks, so that the section runs
/// along no groove.
const BESIDE_MARKS: f64 = 0.125;

/// The lane with its middle where it is cut: beside the mark that runs there.
pub fn beside_marks(placed: &Placed) -> Placed {
    let mut placed = placed.clone();
    placed.centre += BESIDE_MARKS * placed.blade_width;
    placed
}

/// Papers and scales in the order they are tried: the stated size, or what a printer at home takes first; larger scales
/// before smaller.
pub fn candidates(size: Option<PaperSize>, home: PaperSize) -> Vec<(Paper, Scale)> {
    turned(match size {
        Some(size) => SCALES.map(|s| (size, s)).to_vec(),
        None => vec![
            (home, FULL),
            (home, HALF),
            (PaperSize::A3, FULL),
            (PaperSize::A3, HALF),
            (home, FIFTH),
            (PaperSize::A3, FIFTH),
            (PaperSize::A3, TENTH),
            (PaperSize::A3, TWENTIETH),
        ],
    })
}

/// Each paper upright, then level.
pub fn turned(order: Vec<(PaperSize, Scale)>) -> Vec<(Paper, Scale)> {
    let turned = |(size, scale)| [false, true].map(|landscape| (Paper::sheet(size, landscape), scale));
    order.into_iter().flat_map(turned).collect()
}

/// The lane that the section is cut through, of the near edge where it has any: the deepest, which shows most, or, in
/// the crowd of tabular dimensioning, one in the middle, clear of the overall dimensions.
pub fn cut_lane(lanes: &[Placed], style: Style) -> Option<&Placed> {
    let pick = |edge| {
        let of_edge: Vec<&Placed> = lanes.iter().filter(|p| p.edge == edge).collect();
        let fence = |p: &&&Placed| p.lane.fence();
        match style {
            Style::Dimensioned => of_edge.iter().max_by(|a, b| fence(a).total_cmp(&fence(b))).copied(),
            Style::Tabular => of_edge.get(of_edge.len() / 2).copied(),
        }
    };
    pick(Edge::Near).or_else(|| pick(Edge::Far))
}

struct Drawing<'p, 'a> {
    assembly: &'p Assembly<'a>,
    plan: PlanView<'p, 'a>,
    section: Option<SectionView<'p, 'a>>,
    table: Option<Table>,
    style: Style,
}

/// Scales that are drawn to, the largest first.
const SCALES: [Scale; 5] = [FULL, HALF, FIFTH, TENTH, TWENTIETH];
/// Space between the parts of a sheet, mm.
const SPACE: f64 = 4.0;
/// Space between the frame and what stands at its sides, mm.
const MARGIN: f64 = 2.0;
/// Narrowest column of notes, mm.
const NARROWEST: f64 = 70.0;
/// Most space that is added between parts one above the other, mm.
const SPREAD: f64 = 10.0;
/// Most parts of a table side by side.
const PARTS: usize = 3;
/// Space that the words of the depth keep from the frame at the left, mm.
const LEFT: f64 = 1.0;
/// A rounding error in the use of a sheet.
const ROUNDING: f64 = 1e-9;
/// Rows from which on a table on a page of its own is laid in parts.
const LONG: usize = 24;

/// How views, table and notes stand on a sheet.
#[derive(Debug, Clone, Copy)]
struct Arrangement {
    /// Whether the section stands beside the plan, else below it.
    beside: bool,
    /// Whether table and notes stand at the right of the views, else below them.
    column: bool,
    /// How many parts the table has.
    parts: usize,
}

/// What goes on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Content {
    /// Views, table and notes.
    All,
    /// Views and table.
    Table,
    /// Views alone.
    Views,
}

/// Where things stand on a sheet, upper left corners, with the blank space that this leaves.
#[derive(Clone)]
struct Placing {
    plan: Point,
    section: Option<Point>,
    table: Point,
    notes: Option<(Point, Notes)>,
    blank: f64,
}

impl Placing {
    /// The same with the views as far to the left as they go.
    fn at_left(&self, room: &Room) -> Self {
        let left = self.section.map_or(self.plan.x, |section| section.x.min(self.plan.x));
        let moved = |at: Point| at - (left - room.area.x0 - LEFT, 0.0);
        Self { plan: moved(self.plan), section: self.section.map(moved), ..self.clone() }
    }
}

/// What may stand on a sheet and what is in its way.
struct Room {
    /// Where things may stand.
    area: Rect,
    /// The upper left corner of the title block with some space.
    title: Point,
    /// The same of the check bars at the lower left, where there are any: right and upper end.
    bars: Option<Point>,
}

impl Room {
    fn of(paper: Paper, scale: Scale) -> Self {
        let bounds = paper.frame();
        let area = Rect::new(bounds.x0 + MARGIN, bounds.y0 + MARGIN, bounds.x1 - MARGIN, bounds.y1 - MARGIN);
        let title = Point::new(bounds.x1 - TITLE_BLOCK.width - SPACE, bounds.y1 - TITLE_BLOCK.height - SPACE);
        let bars = (scale.factor == 1.0).then(|| {
            // Bars stand beside the title block where the paper is wide enough, else above it.
            let is_beside = title.x - area.x0 >= BARS_WIDTH;
            let low = if is_beside { bounds.y1 } else { bounds.y1 - TITLE_BLOCK.height };
            Point::new(area.x0 + BARS_WIDTH, low - BARS_HEIGHT)
        });
        Self { area, title, bars }
    }

    /// How far down what reaches from `left` to `right` may go.
    fn floor(&self, left: f64, right: f64) -> f64 {
        let over_title = if right > self.title.x { self.title.y } else { self.area.y1 };
        match self.bars {
            Some(bars) if left < bars.x => over_title.min(bars.y - SPACE),
            _ => over_title,
        }
    }
}

impl Drawing<'_, '_> {
    /// All of it on this paper, laid either way, in the arrangement that leaves least blank.
    fn one(&self, paper: Paper, scale: Scale) -> Option<Sheet> {
        self.best(paper, scale, Content::All)
    }

    /// The views on one sheet and the rest on others: table and notes, the notes alone, or all but the plan, as little
    /// as goes.
    fn spread(&self, paper: Paper, scale: Scale) -> Option<Vec<Draft>> {
        self.table.as_ref()?;
        let alone = Drawing { section: None, plan: self.plan, table: None, ..*self };
        let ways: [(&Drawing, Content); 3] = [(self, Content::Table), (self, Content::Views), (&alone, Content::Views)];
        let (drawing, content, sheet) = ways
            .into_iter()
            .find_map(|(drawing, content)| Some((drawing, content, drawing.best(paper, scale, content)?)))?;
        let title_block = &self.assembly.title_block;
        let rest = self.section.as_ref().filter(|_| drawing.section.is_none());
        // Text in the middle of A3 is mostly blank paper.
        let text = if paper.size == PaperSize::A3 { self.assembly.text } else { paper.size };
        let pages = |scale: Scale| Pages {
            title: format!("{}, lanes and notes", self.assembly.title),
            paper: Paper::sheet(text, false),
            title_block: title_block(scale),
            foot: &[],
        };
        let room = pages(NONE).area();
        // A section that is wider than the page is drawn smaller, as its own sheet then says.
        let goes =
            |s: &Scale, section: &SectionView| clash::extent(&section.draw((0.0, 0.0), s.factor)).width() <= room.width;
        let smaller = |section| SCALES.into_iter().filter(|s| s.factor <= scale.factor).find(|s| goes(s, section));
        let of_section = match rest {
            Some(section) => Some((section, smaller(section)?)),
            None => None,
        };
        let pages = pages(of_section.map_or(NONE, |(_, scale)| scale));
        // Notes are as large as values, unless that takes another page for a few lines.
        let flow = |height| pages.flow_evenly(&self.blocks(of_section, content, scale, room, height));
        let [large, small] = [RUNNING, REMARK].map(flow);
        let sheets = if small.len() < large.len() { small } else { large };
        let mut drafts = vec![Draft { sheet, title: title_block(scale) }];
        let sheets = sheets.into_iter().map(|sheet| self.assembly.illustration.on(sheet));
        drafts.extend(sheets.map(|sheet| Draft { sheet, title: pages.title_block.clone() }));
        drafts.iter().all(|draft| clash::find(&draft.sheet).is_empty()).then_some(drafts)
    }

    /// Section, table and notes, lettered `height` mm high, as blocks of pages.
    fn blocks(
        &self,
        section: Option<(&SectionView, Scale)>,
        content: Content,
        scale: Scale,
        room: Size,
        height: f64,
    ) -> Vec<Block> {
        let mut blocks = Vec::new();
        if let Some((section, drawn_at)) = section {
            let groups = section.draw((0.0, 0.0), drawn_at.factor);
            let drawn = clash::extent(&groups);
            let by = ((room.width - drawn.width()) / 2.0 - drawn.x0, -drawn.y0);
            blocks.push(Block::figure(groups.into_iter().map(|g| g.moved(by)).collect(), drawn.height()));
            if drawn_at.name == FULL.name {
                blocks.push(Block::figure(check_bars((2.0, 0.0)), BARS_HEIGHT));
            }
        }
        if let Some(table) = self.table.as_ref().filter(|_| content == Content::Views) {
            let rows = table.rows.len();
            let parts = (1..=PARTS).rev().find(|n| rows > LONG * (n - 1) && table.size(*n).width <= room.width);
            match parts {
                Some(parts) if parts > 1 && table.size(parts).height <= room.height => {
                    blocks.push(Block::figure(table.draw((0.0, 0.0), parts), table.size(parts).height));
                }
                _ => blocks.extend(Block::table(table, room.width)),
            }
        }
        let notes = (self.assembly.notes)(self.style, scale).into_iter().enumerate();
        blocks.extend(
            notes.map(|(i, note)| Block::paragraph(&format!("notes-{}", i + 1), "–", &note, height, room.width)),
        );
        blocks
    }

    /// The sheet of this paper, laid either way, in the arrangement that leaves least blank.
    fn best(&self, paper: Paper, scale: Scale, content: Content) -> Option<Sheet> {
        let measured = Measured::of(self, scale);
        let mut placings: Vec<(Paper, Arrangement, Placing)> = Vec::new();
        for landscape in [false, true] {
            let paper = Paper::sheet(paper.size, landscape);
            let sides: &[bool] = if self.section.is_some() { &[false, true] } else { &[false] };
            let columns: &[bool] = if content != Content::Views { &[false, true] } else { &[false] };
            for (beside, column) in sides.iter().flat_map(|b| columns.iter().map(move |c| (*b, *c))) {
                for parts in 1..=if content != Content::Views && self.table.is_some() { PARTS } else { 1 } {
                    let arrangement = Arrangement { beside, column, parts };
                    let placing = measured.place(&Room::of(paper, scale), arrangement, content);
                    placings.extend(placing.map(|placing| (paper, arrangement, placing)));
                }
            }
        }
        placings.sort_by(|a, b| a.2.blank.total_cmp(&b.2.blank));
        placings.into_iter().find_map(|(paper, arrangement, placing)| {
            let sheet = measured.draw(paper, arrangement, &placing, content);
            let is_clear = |sheet: &Sheet| clash::find(sheet).is_empty();
            if !is_clear(&sheet) || filled(&sheet) >= LEAST {
                return is_clear(&sheet).then_some(sheet);
            }
            // The views in the middle, or at the left with more room beside them.
            let at_left = measured.draw(paper, arrangement, &placing.at_left(&Room::of(paper, scale)), content);
            let [sheet, at_left] = [sheet, at_left].map(|sheet| self.assembly.illustration.on(sheet));
            let is_better = is_clear(&at_left) && filled(&at_left) > filled(&sheet) + ROUNDING;
            Some(if is_better { at_left } else { sheet })
        })
    }

    /// Size of the plan and where its origin lies in it.
    fn plan_box(&self, k: f64) -> (Size, Point) {
        let [left, right, above, below] = self.plan.around(k);
        let top = &self.assembly.top;
        let size = Size::new(left + k * top.length + right, above + k * top.depth + below);
        (size, Point::new(left, above + k * top.depth))
    }

    /// The same of the section.
    fn section_box(&self, k: f64) -> Option<(Size, Point)> {
        let section = self.section.as_ref()?;
        let [left, right, above, below] = section.around(k);
        let size = Size::new(left + k * self.assembly.top.depth + right, above + k * section.height() + below);
        Some((size, Point::new(left, above + k * section.height())))
    }
}

/// What goes on a sheet, measured once for all its arrangements.
struct Measured<'d, 'p, 'a> {
    drawing: &'d Drawing<'p, 'a>,
    scale: Scale,
    /// Size of the plan, and where its origin lies in it.
    plan: (Size, Point),
    /// The same of the section.
    section: Option<(Size, Point)>,
    /// The table's size in one part, in two, and so on.
    tables: Option<[Size; PARTS]>,
    notes: Vec<String>,
}

impl<'d, 'p, 'a> Measured<'d, 'p, 'a> {
    fn of(drawing: &'d Drawing<'p, 'a>, scale: Scale) -> Self {
        let (plan, section) = (drawing.plan_box(scale.factor), drawing.section_box(scale.factor));
        let tables = drawing.table.as_ref().map(|table| std::array::from_fn(|i| table.size(i + 1)));
        let notes = (drawing.assembly.notes)(drawing.style, scale);
        Self { drawing, scale, plan, section, tables, notes }
    }

    /// Where everything stands in an arrangement, if it goes.
    fn place(&self, room: &Room, how: Arrangement, content: Content) -> Option<Placing> {
        let (plan, _) = self.plan;
        let section = self.section.map(|(size, _)| size);
        let table = self.tables.filter(|_| content != Content::Views).map(|sizes| sizes[how.parts - 1]);
        let area = room.area;
        // A part of a sheet: its size, and whether it begins a new row.
        let views: Vec<(Size, bool)> =
            std::iter::once((plan, true)).chain(section.map(|size| (size, !how.beside))).collect();
        let views_width = if how.beside {
            views.iter().map(|(size, _)| size.width).sum::<f64>() + SPACE * (views.len() as f64 - 1.0)
        } else {
            views.iter().map(|(size, _)| size.width).fold(0.0, f64::max)
        };
        if views_width > area.width() || table.is_some_and(|t| t.width > area.width() - 2.0 * MARGIN) {
            return None;
        }
        // Table and notes: in a column of their own, or below, side by side where both go.
        let table_width = table.map_or(0.0, |t| t.width);
        let column = if how.column { area.width() - views_width - 2.0 * SPACE } else { 0.0 };
        let narrowest = if content == Content::All { NARROWEST } else { 0.0 };
        if how.column && column < table_width.max(narrowest) {
            return None;
        }
        let words = |width: f64| Notes::new(&self.notes, width);
        // Beside the table, and beside check bars that stand below it.
        let beside = match room.bars {
            Some(bars) if bars.y < room.title.y => table_width.max(bars.x - area.x0),
            _ => table_width,
        };
        let is_beside_table = !how.column
            && content == Content::All
            && table_width > 0.0
            && area.width() - beside - 2.0 * SPACE >= NARROWEST;
        let notes_width = if how.column {
            column
        } else if is_beside_table {
            area.width() - beside - 2.0 * SPACE
        } else {
            area.width() - 2.0 * MARGIN
        };
        let notes = (content == Content::All).then(|| words(notes_width));
        let notes_height = notes.as_ref().map_or(0.0, Notes::height);

        // Views from the top, each row in the middle of what there is of the width.
        let views_room = if how.column { views_width } else { area.width() };
        let row_height = |sizes: &[(Size, bool)]| sizes.iter().map(|(size, _)| size.height).fold(0.0, f64::max);
        let rows: Vec<Vec<(Size, bool)>> =
            if how.beside { vec![views] } else { views.into_iter().map(|v| vec![v]).collect() };
        let below: Vec<f64> = if how.column || content == Content::Views {
            Vec::new()
        } else if is_beside_table {
            vec![table.map_or(0.0, |t| t.height).max(notes_height)]
        } else {
            table.map(|t| t.height).into_iter().chain(notes.as_ref().map(Notes::height)).collect()
        };
        let heights: Vec<f64> = rows.iter().map(|row| row_height(row)).chain(below.iter().copied()).collect();
        let gaps = heights.len() as f64 - 1.0;
        let needed = heights.iter().sum::<f64>() + SPACE * gaps;
        let floor = if is_beside_table {
            // Each of the two has its own; that of the lower one counts for both.
            let high = table.map_or(0.0, |t| t.height);
            let floors = [room.floor(area.x0, area.x0 + table_width), room.floor(area.x0 + beside + SPACE, area.x1)];
            (floors[0] + (notes_height - high).max(0.0)).min(floors[1] + (high - notes_height).max(0.0))
        } else {
            room.floor(area.x0, area.x1)
        };
        // The column of views alone may reach below the title block's top where it stands clear of it.
        let views_floor = if how.column { room.floor(area.x0, area.x0 + views_width) } else { floor };
        let free = views_floor - area.y0 - needed;
        if free < 0.0 {
            return None;
        }
        let added = (free / (gaps + 1.0)).min(SPREAD);
        let mut y = area.y0 + added / 2.0;
        let mut at: Vec<Point> = Vec::new();
        for row in &rows {
            let width = row.iter().map(|(size, _)| size.width).sum::<f64>() + SPACE * (row.len() as f64 - 1.0);
            let mut x = area.x0 + (views_room - width) / 2.0;
            for (size, _) in row {
                at.push(Point::new(x, y));
                x += size.width + SPACE;
            }
            y += row_height(row) + SPACE + added;
        }
        let (table_at, notes_at, blank) = if how.column {
            let x = area.x0 + views_width + 2.0 * SPACE;
            let top = area.y0 + SPACE;
            let table_height = table.map_or(0.0, |t| t.height + SPACE);
            let bottom = top + table_height + notes_height;
            if bottom > room.floor(x, area.x1) {
                return None;
            }
            let unused = (column - table_width.max(narrowest)).max(0.0) / area.width();
            let blank = free / area.height() * (views_width / area.width())
                + (room.floor(x, area.x1) - bottom) / area.height() * (column / area.width())
                + unused * 0.5;
            (Point::new(x, top), Point::new(x, top + table_height), blank)
        } else {
            let x = area.x0 + MARGIN;
            let widest = rows.iter().map(|row| row.iter().map(|(size, _)| size.width).sum::<f64>()).fold(0.0, f64::max);
            let blank = free / area.height() + (1.0 - widest / area.width()) * 0.5;
            let notes_at = match table {
                Some(_) if is_beside_table => Point::new(area.x0 + beside + 2.0 * SPACE, y),
                Some(table) => Point::new(x, y + table.height + SPACE + added),
                None => Point::new(x, y),
            };
            (Point::new(x, y), notes_at, blank)
        };
        let mut at = at.into_iter();
        Some(Placing {
            plan: at.next()?,
            section: at.next(),
            table: table_at,
            notes: notes.map(|notes| (notes_at, notes)),
            blank,
        })
    }

    /// The sheet with everything where `placing` has it.
    fn draw(&self, paper: Paper, how: Arrangement, placing: &Placing, content: Content) -> Sheet {
        let Self { drawing, scale, .. } = *self;
        let k = scale.factor;
        let mut groups: Vec<Group> = frame(paper, &(drawing.assembly.title_block)(scale));
        groups.extend(drawing.plan.draw(placing.plan + self.plan.1.to_vec2(), k));
        if let (Some(section), Some(at), Some((_, origin))) = (&drawing.section, placing.section, self.section) {
            groups.extend(section.draw(at + origin.to_vec2(), k));
        }
        groups.extend(
            drawing.table.iter().filter(|_| content != Content::Views).flat_map(|t| t.draw(placing.table, how.parts)),
        );
        groups.extend(placing.notes.iter().map(|(at, notes)| notes.draw(*at)));
        let room = Room::of(paper, scale);
        if let Some(bars) = room.bars {
            groups.extend(check_bars((room.area.x0 + 2.0, bars.y)));
        }
        Sheet { title: drawing.assembly.title.clone(), paper, scale: scale.name.into(), groups }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_several_wide_lanes_are_told_to_be_shared_out() {
        for (lanes, narrow) in (0..4).flat_map(|lanes| [(lanes, false), (lanes, true)]) {
            let said = TooLarge { lanes, narrow }.to_string();
            assert_eq!(said.contains("make two blocks"), lanes > 1 && !narrow, "{said}");
            assert_eq!(said.contains("more clearance"), lanes <= 1 || narrow, "{said}");
        }
    }
}
