//! The wooden jig: its sheets are clear, its numbers agree with each other, and it is sound as a piece of joinery.

use kurbo::{Point, Rect};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::{any_job, demo, file, job_of, parsed, refusal, run, stdout, tells_of};
use stopwright::drawing::layers::Shape;
use stopwright::drawing::{Mark, Sheet, clash};
use stopwright::jig::sheets::template;
use stopwright::jig::{self, Jig, asked, board, files, sheets, work};
use stopwright::job::{Job, WoodOptions};
use stopwright::lane::checks::Finding;
use stopwright::layout::Placed;
use stopwright::terms::Edge;
use stopwright::units::{InchFraction, THOUSANDTH, Units};
use stopwright::views::side_view::{self, Stand};
use stopwright::wood::timber::{self, Climate};

fn jig_of(value: &Value) -> (Job, Jig) {
    let job = parsed(value);
    let set = board::lanes(&job).unwrap();
    let jig = jig::lay_out(&job, &set).unwrap_or_else(|e| panic!("{e}"));
    (job, jig)
}

fn sheets_of(value: &Value) -> (Jig, Vec<Sheet>) {
    let (job, jig) = jig_of(value);
    let sheets = sheets::sheets(&job, &jig).unwrap_or_else(|e| panic!("{value}: {e}"));
    (jig, sheets)
}

/// A job with `irons` and `chisels` lanes and a `wood` section.
fn wooden(irons: usize, chisels: usize, wood: Value) -> Value {
    let mut value = job_of(irons, chisels);
    value["wood"] = wood;
    value
}

/// What a title block has no room for it cuts short; here there is room for everything.
fn assert_whole_title(sheet: &Sheet) {
    let block = sheet.groups.iter().find(|g| g.id == "title-block").unwrap();
    for mark in &block.marks {
        if let Mark::Text(text) = mark {
            assert!(!text.words.contains('…'), "{}: {}", sheet.title, text.words);
        }
    }
}

#[test]
fn title_blocks_of_single_sheets_are_whole() {
    let (job, layout) = super::support::laid_out(&job_of(3, 3));
    let block = stopwright::block::slabs::build(&layout).unwrap();
    let drafts = super::support::draw_block(&job, &layout, None, &block.stack).unwrap();
    stopwright::views::assembly::numbered(drafts).iter().for_each(assert_whole_title);
    let set = stopwright::lanes::of_job(&job).unwrap();
    let at_block = Stand::Block { edge: set.edge, fence_height: 9.0, overhang: 5.0, foot_relief: true };
    for stand in [Stand::Stone, at_block] {
        assert_whole_title(&side_view::sheet(&job.guide, None, &set.lanes[0], stand, None, job.projection_angle));
    }
}

fn assert_clear(value: &Value, sheets: &[Sheet]) {
    for (i, sheet) in sheets.iter().enumerate() {
        assert_eq!(clash::find(sheet), [], "page {} of {value}", i + 1);
        assert_whole_title(sheet);
    }
}

#[test]
fn nothing_overlaps_from_one_lane_to_twelve_in_mm_and_inches_on_a4_and_letter() {
    for (irons, chisels) in [(1, 0), (0, 1), (2, 0), (3, 3), (4, 4), (6, 6), (12, 0)] {
        for lengths in ["mm", "in", "both"] {
            for size in ["A4", "Letter"] {
                let mut value = wooden(irons, chisels, json!({ "lengths": lengths }));
                value["sheet"] = json!({ "size": size });
                let (_, sheets) = sheets_of(&value);
                assert_clear(&value, &sheets);
                // At home there is no A3.
                assert!(sheets.iter().all(|s| s.paper.name() == size), "{value}");
            }
        }
    }
}

/// The check sheet of nineteen lanes: form and what is to be done with it are taller than a page (random job 2274); of
/// lanes whose names take two lines the form is so below its heading (random job 59596).
#[test]
fn a_form_taller_than_a_page_goes_on_on_the_next() {
    let value = json!({
        "format": 1, "title": "tall", "guide": "twin-roller", "sheet": { "size": "Letter" }, "tolerance": 0.95,
        "settings": [
            { "id": "set0", "tool": "laminated-chisel", "angles": [19.5, 20, 26, 30.5, 35.5, 39], "width": 26.3, "thickness": 4.37,
                "primary": 18.5 },
            { "id": "set1", "tool": "laminated-iron", "angles": [23.5, 24, 28, 32.5], "thickness": 3.22 },
            { "id": "set2", "tool": "firmer-chisel", "angles": [29, 34, 37, 39, 42] },
            { "id": "set3", "tool": "plane-iron", "angles": [18, 29, 36, 37.5], "width": 43.91 },
        ],
        "block": { "fence_height": 10.9 },
    });
    let long = json!({
        "format": 1, "title": "tall", "guide": "narrow-side-clamp", "sheet": { "size": "Letter" },
        "settings": [
            { "id": "set0", "tool": "bench-chisel", "angles": [18, 31, 31.5, 40.5, 42], "width": 20.24, "thickness": 4.4 },
            { "id": "set1 of the drawer below the window", "tool": "firmer-chisel", "thickness": 3.99,
                "angles": [18, 26.5, 27.5, 28.5, 30, 33.5] },
            { "id": "set2 of the drawer below the window", "tool": "bench-chisel", "angles": [18.5, 24.5, 32, 32.5],
                "width": 18.46, "thickness": 4.4 },
            { "id": "set3 of the drawer below the window", "tool": "mortise-chisel", "angles": [22, 26, 29, 32],
                "width": 12.37, "thickness": 2 },
        ],
        "block": { "middle": 20.65, "clearance": 1.04, "front_relief": true },
    });
    for value in [value, long] {
        let (_, sheets) = sheets_of(&value);
        assert!(sheets.iter().filter(|sheet| sheet.title.starts_with("Check sheet")).count() > 1);
        assert_clear(&value, &sheets);
    }
}

/// Found by chance: where a jig is longer than the sheet and one of its lanes too narrow for a dimension of its own.
#[test]
fn a_narrow_lane_of_a_long_jig_has_its_numbers_in_the_table() {
    let value = json!({
        "format": 1, "title": "Drawer", "units": "in", "guide": "bench-roller", "roller_level": -0.3352,
        "settings": [
            { "id": "set0", "tool": "thick-plane-iron", "angles": [19, 22.5, 23, 26.5, 37.5, 41] },
            { "id": "set1", "tool": "firmer-chisel", "angles": [21.5, 28], "thickness": 0.1197, "taper": 0.76, "land": 0.0261 },
        ],
        "sheet": { "size": "Letter" },
    });
    let (_, sheets) = sheets_of(&value);
    assert!(sheets.len() > 3, "{}", sheets.len());
    assert_clear(&value, &sheets);
}

/// Found by chance: where few places are clear, more directions are tried for a word.
#[test]
fn a_crowded_figure_has_a_place_for_every_word() {
    let value = json!({
        "format": 1, "title": "random", "guide": "narrow-side-clamp", "roller_level": 0,
        "settings": [
            { "id": "set0", "tool": "bench-chisel", "angles": [35], "width": 30 },
            { "id": "set1", "tool": "plane-iron", "angles": [20.5], "edge": "far", "width": 42 },
        ],
        "block": { "foot_relief": false, "front_relief": false, "marks": false, "screw_holes": false, "middle": 5 },
        "wood": { "lengths": "in", "cleat": true, "fraction": 16 },
    });
    let (_, sheets) = sheets_of(&value);
    assert!(sheets.iter().any(|sheet| sheet.title.starts_with("Words and use")));
    assert_clear(&value, &sheets);
}

/// Found by chance: a board was broken off though there was room for it beside the words of its length, which stood above
/// it, and what its edges are called ran into the breaks.
#[test]
fn a_board_is_broken_off_only_where_it_does_not_go_on_the_sheet() {
    let value = json!({
        "format": 1, "title": "random", "guide": "narrow-side-clamp", "roller_level": 0,
        "settings": [
            { "id": "set0", "tool": "plane-iron", "angles": [21, 21.5, 22], "width": 42 },
            { "id": "set1", "tool": "bench-chisel", "angles": [20, 20.5, 23, 28.5], "edge": "near", "width": 30 },
            { "id": "set2", "tool": "thick-plane-iron", "angles": [20, 24, 26.5], "width": 42 },
        ],
        "block": { "foot_relief": false, "front_relief": false, "marks": false, "screw_holes": false, "middle": 5 },
        "wood": { "fences": { "species": "douglas-fir" }, "lengths": "both", "cleat": true, "fraction": 32 },
    });
    let (_, sheets) = sheets_of(&value);
    assert_clear(&value, &sheets);
    let drawn = |id: &str| sheets.iter().flat_map(|sheet| &sheet.groups).any(|group| group.id == id);
    assert!(drawn("part-board-edges") && !drawn("part-board-breaks"));
}

/// Found by random jobs, once they had wood of their own: words beside the fixing of a strip so wide that twice its size
/// does not go on the sheet.
#[test]
fn a_wide_strip_is_shown_fixed_at_full_size() {
    let wood = |width: f64| {
        let value = json!({
            "format": 1, "title": "wide strips", "guide": "top-clamp",
            "settings": [{ "tool": "plane-iron", "angles": [20.5, 36, 42], "width": 61.68 }],
            "wood": { "fences": { "width": width } },
        });
        let (_, sheets) = sheets_of(&value);
        assert_clear(&value, &sheets);
        let headings = sheets.iter().flat_map(|sheet| &sheet.groups).filter(|group| group.id == "detail-heading");
        let headings = headings.flat_map(|group| &group.marks);
        let headings = headings.filter_map(|m| if let Mark::Text(t) = m { Some(t.words.clone()) } else { None });
        headings.collect::<String>()
    };
    assert_eq!(wood(25.0), "How a fence is fixed, 2:1");
    assert_eq!(wood(34.0), "How a fence is fixed, 1:1");
}

/// Found the same way: dimensions in both units beside a small section, which was drawn at a tenth to be no higher.
#[test]
fn a_section_is_rather_high_than_small() {
    let value = json!({
        "format": 1, "title": "one lane", "guide": "narrow-side-clamp",
        "settings": [{ "id": "set0", "tool": "spokeshave-iron", "angles": [33], "width": 35, "thickness": 1.5, "taper": 0.28,
            "primary": 24.5 }],
        "wood": { "board": { "material": "timber", "species": "douglas-fir", "thickness": 21.08 }, "lengths": "both" },
    });
    let (_, sheets) = sheets_of(&value);
    assert_clear(&value, &sheets);
    let titles = sheets.iter().flat_map(|sheet| &sheet.groups).filter(|group| group.id == "section-title");
    let words = titles.flat_map(|group| &group.marks);
    let words: String =
        words.filter_map(|m| if let Mark::Text(t) = m { Some(t.words.clone()) } else { None }).collect();
    assert!(["A–A, 1:190°", "A–A, 1:290°"].contains(&words.as_str()), "{words}");
}

/// Found the same way: the bench below a thick board, drawn into the heading of the figure below.
#[test]
fn the_bench_below_a_thick_board_is_clear_of_what_is_below() {
    for thickness in [12.0, 18.0, 21.0, 23.9] {
        for cleat in [false, true] {
            let value = json!({
                "format": 1, "title": "thick", "guide": "twin-roller",
                "settings": [{ "id": "set0", "tool": "paring-chisel", "angles": [18, 24.5], "width": 16.26 }],
                "wood": { "board": { "thickness": thickness }, "lengths": "in", "cleat": cleat },
            });
            let (_, sheets) = sheets_of(&value);
            assert_clear(&value, &sheets);
        }
    }
}

/// Found the same way: part references in a column that is higher than the parts ran over what stands below them.
#[test]
fn references_of_many_parts_are_clear_of_what_is_below() {
    let value = json!({
        "format": 1, "title": "many parts", "units": "in", "guide": "top-clamp",
        "settings": [
            { "id": "set0", "tool": "block-plane-iron", "angles": [21.5, 23.5, 25, 25.5, 42.5], "width": 2.0157,
              "thickness": 0.1101, "edge": "far" },
            { "id": "set1", "tool": "paring-chisel", "angles": [24.5, 40.5], "thickness": 0.1111, "edge": "near",
              "primary": 24.5, "land": 0.0442 },
            { "id": "set2", "tool": "bench-chisel", "angles": [25, 30, 41.5], "width": 1.712, "thickness": 0.0674,
              "edge": "far" },
            { "id": "set3", "tool": "laminated-iron", "angles": [20, 26, 35, 36], "thickness": 0.06 },
        ],
        "block": { "thickness": 0.5278, "middle": 0.9522, "fence_height": 0.1971, "clearance": 0.1007, "cleat": false },
        "sheet": { "size": "A4", "projection": "first" },
        "wood": { "fences": { "species": "douglas-fir", "width": 1.2967 }, "lengths": "mm" },
    });
    let (_, sheets) = sheets_of(&value);
    assert_clear(&value, &sheets);
}

fn any_wood() -> impl Strategy<Value = Value> {
    let boards = prop::sample::select(vec![
        json!(null),
        json!({ "material": "mdf" }),
        json!({ "material": "timber", "species": "white-oak" }),
        json!({ "material": "timber", "species": "american-beech", "grain": "across", "cut": "quarter" }),
    ]);
    let fences = prop::sample::select(vec![
        json!(null),
        json!({ "species": "douglas-fir" }),
        json!({ "width": 26, "facing": 2 }),
        json!({ "species": "hickory", "cut": "quarter", "height": 15 }),
    ]);
    let lengths = prop::sample::select(vec!["mm", "in", "both"]);
    (boards, fences, lengths, any::<bool>(), prop::sample::select(vec![16, 32, 64])).prop_map(
        |(board, fences, lengths, cleat, fraction)| {
            json!({ "board": board, "fences": fences, "lengths": lengths, "cleat": cleat, "fraction": fraction })
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, max_global_rejects: 4000, ..ProptestConfig::default() })]
    #[test]
    fn any_job_gives_a_sound_jig_and_clear_sheets(value in any_job(), wood in any_wood()) {
        let mut value = value;
        value["wood"] = wood;
        let job = parsed(&value);
        let Ok(set) = board::lanes(&job) else { return Err(TestCaseError::reject("no lanes")) };
        let Ok(jig) = jig::lay_out(&job, &set) else { return Err(TestCaseError::reject("refused")) };
        sound(&jig);
        match sheets::sheets(&job, &jig) {
            Ok(sheets) => {
                for sheet in &sheets {
                    prop_assert_eq!(clash::find(sheet), [], "{} of {}", &sheet.title, &value);
                }
            }
            Err(e) => prop_assert!(jig.lanes.len() > 12, "{}: {}", e, value),
        }
    }
}

/// Strips on the board, apart from each other, at their distances; screws in the wood.
fn sound(jig: &Jig) {
    for (i, fence) in jig.fences.iter().enumerate() {
        assert!(Rect::new(0.0, 0.0, jig.length, jig.depth).contains_rect(fence.area));
        for other in &jig.fences[i + 1..] {
            assert!(fence.area.intersect(other.area).is_zero_area(), "{fence:?} {other:?}");
        }
        let front = match fence.edge {
            Edge::Near => fence.area.y0,
            Edge::Far => jig.depth - fence.area.y1,
        };
        for lane in &fence.lanes {
            let placed = &jig.lanes[*lane];
            assert!((placed.lane.fence() - front).abs() <= 0.01 + 1e-9, "lanes that share a strip have one distance");
            let half = placed.blade_width / 2.0;
            assert!(
                fence.area.x0 <= placed.centre - half && placed.centre + half <= fence.area.x1,
                "a fence as wide as its blade"
            );
        }
        for screw in &fence.screws {
            let reach = (jig.stock.fixing.clearance + screw.slot) / 2.0;
            assert!(screw.at.x - reach >= fence.area.x0 + 3.0 && screw.at.x + reach <= fence.area.x1 - 3.0);
            let wood = (screw.at.y - fence.area.y0).min(fence.area.y1 - screw.at.y);
            assert!(wood >= jig.stock.fixing.washer / 2.0, "washers lie on their strip");
        }
    }
    // The screw holds, and does not come out below.
    assert!(jig.stock.held() >= 3.0 && jig.stock.held() < jig.board.thickness);
    // No long strip is glued or pinned across the grain of the board.
    if jig.board.slides() {
        assert!(jig.fences.iter().all(|f| f.pins.is_empty() && f.screws.len() == 3));
        assert!(jig.fences.iter().all(|f| f.screws[0].slot > 0.0 && f.screws[1].slot == 0.0 && f.screws[2].slot > 0.0));
    }
}

/// A blade beside a longer fence than its own has its lane free: the strips of other lanes stay out of it.
#[test]
fn every_table_is_free_over_its_blade() {
    let (_, jig) = jig_of(&wooden(6, 6, json!({})));
    for placed in &jig.lanes {
        let half = placed.blade_width / 2.0 + 1.0;
        let table_top = match placed.edge {
            Edge::Near => [0.0, placed.lane.fence()],
            Edge::Far => [jig.depth - placed.lane.fence(), jig.depth],
        };
        for fence in &jig.fences {
            let beside = fence.area.x1 <= placed.centre - half || fence.area.x0 >= placed.centre + half;
            let behind = fence.area.y1 <= table_top[0] + 1e-9 || fence.area.y0 >= table_top[1] - 1e-9;
            assert!(beside || behind, "{}", placed.lane.request.id);
        }
    }
}

#[test]
fn neighbours_of_one_distance_share_a_strip() {
    let mut value = job_of(0, 0);
    value["settings"] = json!([
        { "tool": "bench-chisel", "angles": [25, 30], "width": 30, "edge": "near" },
        { "tool": "paring-chisel", "id": "same", "angles": [25], "thickness": 3.2, "land": 2.8, "width": 30, "edge": "near" },
    ]);
    value["settings"][0]["thickness"] = json!(3.2);
    value["settings"][0]["land"] = json!(2.8);
    let (_, jig) = jig_of(&value);
    assert_eq!(jig.fences.iter().map(|f| f.lanes.len()).collect::<Vec<_>>(), [2, 1]);
}

/// Every printed fence distance keeps the bevel within the job's tolerance out to its limits, in both units.
#[test]
fn printed_limits_keep_the_angle() {
    for wood in [json!({ "lengths": "mm" }), json!({ "lengths": "in" }), json!({ "lengths": "in", "fraction": 32 })] {
        let (job, jig) = jig_of(&wooden(4, 4, wood));
        for placed in &jig.lanes {
            let (printed, limit) = (jig.written.rounded(placed.lane.fence(), 2), jig.limit(placed));
            for fence in [printed - limit, printed + limit] {
                let off = placed.lane.angle_at(fence).unwrap() - placed.lane.request.angle;
                assert!(off.abs() <= job.tolerance + 1e-9, "{} at {fence}: {off}", placed.lane.request.id);
            }
        }
    }
}

/// Fractions are multiples of the one asked for, or finer where that one is too coarse for the angle.
#[test]
fn fractions_are_those_asked_for() {
    for denominator in [16u32, 32, 64] {
        let (jig, sheets) = sheets_of(&wooden(3, 0, json!({ "lengths": "both", "fraction": denominator })));
        let finer = jig.lanes.iter().any(|p| jig.inches(p).0.step() != format!("1/{denominator} in"));
        let mut multiples = true;
        for sheet in &sheets {
            for group in sheet.groups.iter().filter(|g| g.id.ends_with("-inches") || g.id.ends_with("-gauge-in")) {
                let value: f64 = group.data.iter().find(|d| d.0 == "value").unwrap().1.parse().unwrap();
                let Mark::Text(text) = &group.marks[0] else { panic!("no words") };
                assert_eq!(text.words, InchFraction::nearest(value, 64).to_string());
                let parts = value / 25.4 * f64::from(denominator);
                multiples &= (parts - parts.round()).abs() < 1e-9;
            }
        }
        assert_eq!(multiples, !finer);
    }
}

/// Whatever fraction is asked for, and however tight the angle: the limits keep it, and leave as much as a fence is made
/// to, or that they do not is said; no coarser fraction would leave as much.
#[test]
fn limits_of_fractions_leave_something_between_them() {
    let mut finer = [0; 2];
    for tolerance in [0.5, 0.2, 0.05] {
        for denominator in [16u32, 32, 64] {
            let mut value = wooden(4, 4, json!({ "lengths": "in", "fraction": denominator }));
            value["tolerance"] = json!(tolerance);
            let (jig, sheets) = sheets_of(&value);
            for placed in &jig.lanes {
                let (printed, limit) = (jig.printed(placed), jig.limit(placed));
                assert!(limit > 0.0, "{} {denominator} {tolerance}", placed.lane.request.id);
                let id = &placed.lane.request.id;
                let said = |f: &&Finding| f.message.starts_with(&format!("{id}: this fence must be within"));
                assert_eq!(jig.findings.iter().filter(said).count(), usize::from(limit < jig.fence_within));
                for coarser in [16, 32, 64].into_iter().filter(|d| *d >= denominator) {
                    let fraction = InchFraction::nearest(placed.lane.finished(), coarser);
                    let left = placed.lane.tolerance_about(fraction.mm(), THOUSANDTH);
                    let is_finer = jig.inches(placed).0.step() != format!("1/{coarser} in");
                    assert!(!is_finer || left < limit.min(jig.fence_within), "1/{coarser} in would do");
                    if !is_finer {
                        break;
                    }
                }
                for end in [printed - limit, printed + limit] {
                    let set = placed.lane.angle_at(end).unwrap();
                    assert!((set - placed.lane.request.angle).abs() <= tolerance + 1e-9);
                }
                match jig.inches(placed).0 {
                    asked::Inches::Fraction { denominator: given, .. } => finer[0] += usize::from(given > denominator),
                    asked::Inches::Thousandths(_) => finer[1] += 1,
                }
            }
            let all = sheets.iter().flat_map(|s| &s.groups).flat_map(|g| &g.marks);
            assert!(!all.clone().any(|m| matches!(m, Mark::Text(t) if t.words.contains("±-"))));
            let told = jig.findings.iter().filter(|f| f.message.contains("too coarse to keep the angle")).count();
            let coarse = |p: &&Placed| jig.inches(p).0.step() != format!("1/{denominator} in");
            assert_eq!(told, jig.lanes.iter().filter(coarse).count());
        }
    }
    assert!(finer.into_iter().all(|count| count > 0), "{finer:?}");
}

/// ISO 2768-1, table 1, class c: 3 to 6 mm ±0.3, to 30 ±0.5, to 120 ±0.8, to 400 ±1.2. The step that cuts to length says
/// those that the parts need.
#[test]
fn sizes_are_held_to_iso_2768() {
    assert_eq!(work::COARSE, [(6.0, 0.3), (30.0, 0.5), (120.0, 0.8), (400.0, 1.2)]);
    let cut = |jig: &Jig| work::before(jig).into_iter().find(|step| step.title == "Cut to length");
    let check = |jig: &Jig| cut(jig).map_or_else(String::new, |step| step.check);
    let (_, large) = jig_of(&wooden(3, 3, json!({})));
    assert!(check(&large).contains("to 120 mm within ±0.8 mm, to 400 mm within ±1.2 mm"), "{}", check(&large));
    let (_, small) = jig_of(&wooden(0, 1, json!({})));
    assert!(!check(&small).contains("400"), "{}", check(&small));
}

#[test]
fn the_usual_season_is_that_of_its_airs() {
    let air = |temperature, humidity| Climate { temperature, humidity };
    let season = timber::season(air(18.0, 35.0), air(22.0, 65.0), None).unwrap();
    let usual = WoodOptions::new(Units::Mm).season;
    for (a, b) in [(season.dry, usual.dry), (season.damp, usual.damp), (season.made, usual.made)] {
        assert!((a - b).abs() < 0.06, "{a} {b}");
    }
}

/// Wood Handbook, FPL-GTR-190, eq. 13-2 and table 13-5: flat-sawn American beech moves by 0.00431 of its width per 1 %.
#[test]
fn a_timber_board_drifts_by_the_handbook() {
    let wood = json!({ "board": { "material": "timber", "species": "american-beech" }, "fences": { "width": 20 },
        "season": { "dry": { "temperature": 21, "humidity": 20 }, "damp": { "temperature": 21, "humidity": 80 } } });
    let mut value = wooden(1, 0, wood);
    value["settings"][0]["angles"] = json!([15]);
    value["settings"][0]["primary"] = json!(15);
    value["tolerance"] = json!(0.2);
    let (_, jig) = jig_of(&value);
    let season = jig.movement.season;
    let fence = jig.printed(&jig.lanes[0]);
    // From the edge to the strip's middle the board moves, from there to the fence the strip, of the same wood.
    let expected = 0.00431 * (season.damp - season.made) * (fence + 10.0 - 10.0);
    assert!((jig.movement.drifts[0].fence[1] - expected).abs() < 1e-9);
    // That is more than the fence may be off: plywood and grain from edge to edge are advised, on the sheet too.
    assert!(!jig.movement.drifts[0].passes);
    let advice = jig.movement.advice.join(" ");
    assert!(advice.contains("plywood") && advice.contains("edge to edge"), "{advice}");
    let (_, sheets) = sheets_of(&value);
    let words = |s: &Sheet| {
        let text = |m: &Mark| if let Mark::Text(t) = m { Some(t.words.clone()) } else { None };
        s.groups.iter().flat_map(|g| &g.marks).filter_map(text).collect::<Vec<_>>().join(" ")
    };
    assert!(sheets.iter().any(|s| words(s).contains("out of their limits")));
    // Cautions on every sheet.
    assert!(
        sheets.iter().all(|s| words(s).contains("local rules") || words(s).contains("instructions and rules first"))
    );
}

/// A fence drifts from the fraction that is asked for, within the limits about that.
#[test]
fn wood_moves_from_what_is_asked() {
    for (tolerance, lengths) in [(0.5, "in"), (0.05, "in"), (0.5, "mm")] {
        let mut value = wooden(3, 3, json!({ "lengths": lengths, "fraction": 16 }));
        value["tolerance"] = json!(tolerance);
        let (_, jig) = jig_of(&value);
        for (placed, drift) in jig.lanes.iter().zip(&jig.movement.drifts) {
            let set = drift.fence.map(|by| placed.lane.angle_at(jig.printed(placed) + by).ok());
            assert_eq!(drift.angle, set, "{} to {lengths}", placed.lane.request.id);
            let most = drift.fence[0].abs().max(drift.fence[1].abs());
            assert_eq!(drift.passes, most <= jig.limit(placed));
        }
    }
}

/// Each hazard once in the order of work, where the hand is: MDF only where it is sawn, glue where it is first spread.
#[test]
fn cautions_stand_once_in_the_order_of_work() {
    let cases = [
        ("mdf", 0.0, false, "Make it fast"),
        ("mdf", 1.5, false, "Face the strips"),
        ("plywood", 1.5, true, "Fix the cleat"),
        ("timber", 1.5, true, "Plane the battens"),
    ];
    for (board, facing, cleat, glued) in cases {
        let mut wood = json!({ "board": { "material": board }, "fences": { "facing": facing }, "cleat": cleat });
        if board == "timber" {
            wood["stock"] = json!({ "board": [900, 60] });
            wood["board"]["species"] = json!("american-beech");
        }
        let (_, jig) = jig_of(&wooden(3, 2, wood));
        assert_eq!(jig.cutting.glues_staves(), board == "timber");
        let steps: Vec<_> = work::before(&jig).into_iter().chain(work::after(&jig)).collect();
        let at = |words: &str| {
            let places: Vec<&str> = steps.iter().filter(|s| s.text.contains(words)).map(|s| s.title).collect();
            let times: usize = steps.iter().map(|s| s.text.matches(words).count()).sum();
            assert_eq!(places.len(), times, "{words}");
            places
        };
        assert_eq!(at("MDF makes fine dust"), if board == "mdf" { vec!["Plane the battens"] } else { vec![] });
        assert_eq!(at("Glues may harm skin"), [glued]);
        assert_eq!(at("At a router, a CNC machine or a laser"), ["Lay out"]);
        assert_eq!(at("Rags wet with oil or solvent"), ["Letter and finish"]);
    }
}

#[test]
fn the_template_for_machines_is_the_plan() {
    let (_, jig) = jig_of(&wooden(3, 3, json!({})));
    let layers = template::layers(&jig);
    let on = |name: &str| &layers.iter().find(|l| l.name.as_str() == name).unwrap().shapes;
    assert_eq!(on("FENCES").len(), 6);
    for (fence, shape) in jig.fences.iter().zip(on("FENCES")) {
        let Shape::Polyline { points, closed: true } = shape else { panic!("{shape:?}") };
        assert_eq!(points[0], fence.area.origin());
        assert_eq!(points[2], Point::new(fence.area.x1, fence.area.y1));
    }
    assert_eq!(on("PILOTS").len(), jig.fences.iter().map(|f| f.screws.len()).sum::<usize>());
}

/// Marks are broken where a lane is lettered, also where a name is wider than its lane.
#[test]
fn no_mark_of_the_template_for_machines_runs_through_lettering() {
    for (irons, chisels) in [(3, 3), (0, 6)] {
        let (_, jig) = jig_of(&wooden(irons, chisels, json!({})));
        let layers = template::layers(&jig);
        let on = |name: &str| &layers.iter().find(|l| l.name.as_str() == name).unwrap().shapes;
        let boxes = on("LETTERING").iter().map(|shape| {
            let Shape::Text { at, height, turn, words } = shape else { panic!("{shape:?}") };
            let wide = stopwright::shape::font::width(words, *height, false);
            let sign = if *turn == 0.0 { 1.0 } else { -1.0 };
            Rect::from_points(*at - (0.0, sign * 0.3 * height), *at + (sign * wide, sign * height))
        });
        let boxes: Vec<Rect> = boxes.collect();
        let (mut drawn, whole) = (0.0, jig.lanes.iter().flat_map(|p| jig.mark_lines(p)));
        for shape in on("MARKS") {
            let Shape::Line { from, to } = shape else { panic!("{shape:?}") };
            let line = Rect::from_points(*from, *to);
            assert!(boxes.iter().all(|b| b.x0 >= line.x1 || b.x1 <= line.x0 || b.y0 >= line.y1 || b.y1 <= line.y0));
            drawn += from.distance(*to);
        }
        let whole: f64 = whole.map(|[a, b]| a.distance(b)).sum();
        assert!(drawn > 0.4 * whole && drawn < whole, "{drawn} of {whole}");
    }
}

#[test]
fn same_bytes_twice() {
    let job = parsed(&wooden(3, 3, json!({ "lengths": "both" })));
    let bytes = |job: &Job| files::cutsheet(job, &()).unwrap().artifacts;
    assert_eq!(bytes(&job), bytes(&job));
}

#[test]
fn the_command_writes_everything_and_cleans_up_after_itself() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("jig");
    let out = out.to_str().unwrap();
    let said = stdout(&["cutsheet", demo().to_str().unwrap(), "--out", out]);
    assert!(said.contains("plane-iron-25") && said.contains("cutsheet.pdf"), "{said}");
    let pages = || {
        std::fs::read_dir(out)
            .unwrap()
            .filter(|e| e.as_ref().unwrap().file_name().to_string_lossy().ends_with(".svg"))
            .count()
    };
    let many = pages();
    assert!(many >= 7);
    // A job with fewer pages leaves none of the old ones.
    let small = file(folder.path(), "small.json", &wooden(1, 0, json!({ "cleat": false })));
    stdout(&["cutsheet", &small, "--out", out, "--quiet"]);
    let fewer = pages();
    assert!(fewer < many, "{fewer} of {many}");
    let value: Value = serde_json::from_str(&stdout(&["cutsheet", &small, "--out", out, "--json"])).unwrap();
    assert_eq!(
        value["files"].as_array().unwrap().iter().filter(|f| f.as_str().unwrap().ends_with(".svg")).count(),
        fewer
    );
    // What the user changed stays.
    std::fs::write(format!("{out}/cutsheet.pdf"), "mine").unwrap();
    assert!(refusal(&["cutsheet", &small, "--out", out]).contains("cutsheet.pdf"));
}

#[test]
fn make_makes_the_jig_where_the_job_asks_for_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "job.json", &wooden(2, 0, json!({})));
    let out = folder.path().join("out");
    stdout(&["make", &path, "--out", out.to_str().unwrap(), "--quiet"]);
    assert!(out.join("cutsheet.pdf").exists() && out.join("block.stl").exists());
}

#[test]
fn verify_judges_the_jig() {
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "job.json", &wooden(1, 0, json!({})));
    let (_, jig) = jig_of(&wooden(1, 0, json!({})));
    let lane = &jig.lanes[0].lane;
    let measured = |off: f64| json!({ "format": 1, "lanes": [{ "id": lane.request.id, "measured": [lane.fence() + off, lane.fence() + off] }] });
    let good = file(folder.path(), "good.json", &measured(0.05));
    assert!(run(&["verify", &path, &good, "--wood"]).status.success());
    let bad = file(folder.path(), "bad.json", &measured(4.0));
    assert_eq!(run(&["verify", &path, &bad, "--wood"]).status.code(), Some(1));
    // An error of making of a printed block moves none of the jig's fences, whatever makes it.
    let block = file(
        folder.path(),
        "block.json",
        &json!({ "format": 2, "job": "lanes", "corrections": [{ "id": lane.request.id, "making": 0.3 }] }),
    );
    let both = folder.path().join("both");
    stdout(&["make", &path, "--corrections", &block, "--out", both.to_str().unwrap(), "--quiet"]);
    let numbers = |name: &str| std::fs::read_to_string(both.join(name)).unwrap();
    assert!(numbers("offsets.json").contains("\"making\": 0.3") && !numbers("cutsheet.json").contains("correction"));
    // Corrections of a jig are no corrections of a printed block.
    let corrections = folder.path().join("c.json");
    let said = refusal(&["verify", &path, &bad, "--wood", "--write-corrections", corrections.to_str().unwrap()]);
    assert!(said.contains("moved on the jig itself"), "{said}");
    let of_jig = |part: &str| json!({ "format": 2, "job": "lanes (wooden jig)", "corrections": [{ "id": lane.request.id, part: 0.3 }] });
    file(folder.path(), "c.json", &of_jig("making"));
    let said = refusal(&["cutsheet", &path, "--corrections", corrections.to_str().unwrap()]);
    assert!(tells_of(&said, "corrections[0].making") && said.contains("on the jig itself"), "{said}");
    file(folder.path(), "c.json", &of_jig("guide"));
    // What test bevels on the jig showed of the guide is true at the printed block too.
    stdout(&[
        "make",
        &path,
        "--corrections",
        corrections.to_str().unwrap(),
        "--out",
        both.to_str().unwrap(),
        "--quiet",
    ]);
    assert!(numbers("offsets.json").contains("\"guide\": 0.3") && numbers("cutsheet.json").contains("\"guide\": 0.3"));
    let out = folder.path().join("corrected");
    stdout(&[
        "cutsheet",
        &path,
        "--corrections",
        corrections.to_str().unwrap(),
        "--out",
        out.to_str().unwrap(),
        "--quiet",
    ]);
    for page in ["cutsheet-01.svg", "cutsheet-02.svg"] {
        let sheet = std::fs::read_to_string(out.join(page)).unwrap();
        assert!(sheet.contains("CORRECTED: lanes"), "its title says so");
    }
}

#[test]
fn bad_wood_is_refused_with_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let said = |wood: Value| {
        let path = file(folder.path(), "job.json", &wooden(1, 0, wood));
        refusal(&["cutsheet", &path, "--out", folder.path().join("none").to_str().unwrap()])
    };
    for (wood, field) in [
        (json!({ "board": { "material": "timber" } }), "wood.board.species"),
        (json!({ "board": { "material": "mdf", "species": "red-oak" } }), "wood.board.species"),
        (json!({ "board": { "material": "timber", "species": "unobtainium" } }), "wood.board.species"),
        (json!({ "fraction": 48 }), "wood.fraction"),
        (json!({ "printed_bar": [80, 100] }), "wood.printed_bar"),
        (json!({ "fences": { "height": 4 } }), "wood.fences.height"),
        (json!({ "stock": { "board": [100, 60] } }), "wood.stock.board"),
        (
            json!({ "season": { "dry": { "temperature": 20, "humidity": 70 }, "damp": { "temperature": 20, "humidity": 40 } } }),
            "wood.season",
        ),
    ] {
        let message = said(wood.clone());
        assert!(message.contains(field), "{wood}: {message}");
        assert!(!folder.path().join("none").exists(), "nothing is written");
    }
    for bars in ["80,100", "99", "a,b"] {
        let path = file(folder.path(), "job.json", &wooden(1, 0, json!({})));
        assert!(refusal(&["cutsheet", &path, "--printed-bar", bars]).contains("--printed-bar"));
    }
}

fn all_groups(sheets: &[Sheet]) -> impl Iterator<Item = &stopwright::drawing::Group> {
    sheets.iter().flat_map(|s| &s.groups)
}

fn count_of(sheets: &[Sheet], prefix: &str) -> usize {
    let is_numbered = |id: &str| id.strip_prefix(prefix).is_some_and(|rest| rest.bytes().all(|b| b.is_ascii_digit()));
    all_groups(sheets).filter(|g| is_numbered(&g.id)).count()
}

/// A cleat that is asked for is in the plan, the section and both pictures, with every one of its screws.
#[test]
fn a_cleat_is_drawn_wherever_it_is() {
    for cleat in [true, false] {
        let (jig, sheets) = sheets_of(&wooden(3, 3, json!({ "cleat": cleat })));
        let screws = jig.cleat.as_ref().map_or(0, |c| c.screws.len());
        assert_eq!(jig.cleat.is_some(), cleat);
        assert_eq!(count_of(&sheets, "plan-cleat-screw-"), screws);
        assert_eq!(count_of(&sheets, "apart-cleat-screw-"), screws);
        let there = |id: &str| all_groups(&sheets).any(|g| g.id == id && !g.marks.is_empty());
        for id in ["plan-cleat", "section-cleat-screw", "section-number-cleat", "picture-cleat", "apart-cleat"] {
            assert_eq!(there(id), cleat, "{id}");
        }
        // Screws, washers and pins of the fences too.
        let total: usize = jig.fences.iter().map(|f| f.screws.len()).sum();
        for what in ["apart-screw-", "apart-washer-", "picture-screw-", "picture-washer-"] {
            let drawn = all_groups(&sheets).filter(|g| g.id.starts_with(what) && !g.id.ends_with("-faces")).count();
            assert_eq!(drawn, total, "{what}");
        }
    }
}

/// Every part of the cut list has its number in the exploded view, whose leader ends on what is seen of that part.
#[test]
fn part_numbers_stand_at_their_parts() {
    for wood in [json!({}), json!({ "cleat": false }), json!({ "fences": { "facing": 2, "width": 24 } })] {
        let (jig, sheets) = sheets_of(&wooden(3, 3, wood));
        let sheet = sheets.iter().find(|s| s.groups.iter().any(|g| g.id == "apart-board")).unwrap();
        let value = |g: &stopwright::drawing::Group, name: &str| {
            g.data.iter().find(|(n, _)| *n == name).map(|(_, value)| value.clone())
        };
        let mut middles: Vec<Point> = Vec::new();
        for part in &jig.parts {
            let id = format!("balloon-{}", part.number);
            let balloon = sheet.groups.iter().find(|g| g.id == id).unwrap_or_else(|| panic!("no {id}"));
            let said = |m: &Mark| matches!(m, Mark::Text(t) if t.words == part.number);
            assert!(balloon.marks.iter().any(said), "{id}");
            let circles = || {
                balloon.marks.iter().filter_map(|m| {
                    if let Mark::Circle { centre, radius, .. } = m { Some((*centre, *radius)) } else { None }
                })
            };
            let dot = circles().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap().0;
            middles.push(circles().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap().0);
            let of_part = sheet
                .groups
                .iter()
                .filter(|g| g.id.starts_with("apart-") && value(g, "part").as_deref() == Some(part.number.as_str()));
            let faces: Vec<String> = of_part.map(|g| format!("{}-faces", g.id)).collect();
            let seen = sheet.groups.iter().filter(|g| faces.contains(&g.id)).flat_map(|g| &g.marks);
            use kurbo::Shape as _;
            assert!(seen.into_iter().any(|m| m.path().winding(dot) != 0), "{id} ends beside its part");
        }
        for (i, a) in middles.iter().enumerate() {
            assert!(middles[i + 1..].iter().all(|b| a.distance(*b) > 8.4), "{middles:?}");
        }
    }
}

/// How much of a sheet is used: the squares of 5 mm in its frame and outside the title block that bounds of marks touch.
fn used(sheet: &Sheet) -> f64 {
    use kurbo::Shape as _;
    const SQUARE: f64 = 5.0;
    let bounds = |group: &stopwright::drawing::Group| -> Vec<Rect> {
        group.marks.iter().map(|mark| mark.path().bounding_box()).collect()
    };
    let frame = sheet.paper.frame();
    let title = sheet.groups.iter().find(|g| g.id == "title-block").unwrap();
    let title = bounds(title).into_iter().reduce(|a, b| a.union(b)).unwrap();
    let marks: Vec<Rect> = sheet.groups.iter().filter(|g| g.class != "frame").flat_map(bounds).collect();
    let (mut free, mut taken) = (0, 0);
    for row in 0..(frame.height() / SQUARE) as usize {
        for column in 0..(frame.width() / SQUARE) as usize {
            let at = frame.origin() + (column as f64 * SQUARE, row as f64 * SQUARE);
            let square = Rect::from_origin_size(at, (SQUARE, SQUARE));
            let touches = |r: &Rect| r.x0 < square.x1 && r.x1 > square.x0 && r.y0 < square.y1 && r.y1 > square.y0;
            if !touches(&title) {
                free += 1_u32;
                taken += usize::from(marks.iter().any(touches));
            }
        }
    }
    taken as f64 / f64::from(free)
}

/// No page for one line or one part: at least a third of every page is used, and the pages are fewer than their subjects.
#[test]
fn pages_of_the_shop_are_shared_and_filled() {
    for (irons, chisels) in [(1, 0), (3, 3), (6, 6)] {
        for (lengths, size) in [("mm", "A4"), ("in", "Letter"), ("mm", "A3")] {
            let mut value = wooden(irons, chisels, json!({ "lengths": lengths }));
            value["sheet"] = json!({ "size": size });
            let (_, sheets) = sheets_of(&value);
            let drawn = |s: &&Sheet, id: &str| s.groups.iter().any(|g| g.id == id);
            let pages: Vec<&Sheet> =
                sheets.iter().filter(|s| drawn(s, "cautions") && !drawn(s, "plan-board")).collect();
            for page in &pages {
                assert!(used(page) >= 1.0 / 3.0, "{:.2} of {} of {value}", used(page), page.title);
            }
        }
    }
}

/// A jig too long for its sheets is shown in stretches: every lane on one of them, nothing beyond a frame.
#[test]
fn many_lanes_are_spread_over_sheets() {
    let mut value = wooden(1, 1, json!({}));
    for setting in 0..2 {
        value["settings"][setting]["angles"] = (0..28).map(|i| 24.0 + 0.5 * f64::from(i)).collect();
    }
    value["sheet"] = json!({ "size": "A4" });
    let (jig, sheets) = sheets_of(&value);
    let plans: Vec<&Sheet> = sheets.iter().filter(|s| s.groups.iter().any(|g| g.id == "plan-board")).collect();
    // As wide as the paper at half size: half a metre of jig or so on each.
    let most = (jig.length / 200.0).ceil() as usize;
    assert!(plans.len() > 1 && plans.len() <= most, "{} sheets for {} mm", plans.len(), jig.length);
    for sheet in &plans {
        assert_eq!(clash::find(sheet), [], "{}", sheet.title);
        assert!(sheet.groups.iter().any(|g| g.id.starts_with("plan-break-")), "its ends are broken off");
    }
    for placed in &jig.lanes {
        let id = format!("label-{}", placed.lane.request.id);
        assert_eq!(plans.iter().filter(|s| s.groups.iter().any(|g| g.id == id)).count(), 1, "{id}");
    }
}
