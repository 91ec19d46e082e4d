//! What a class comes to, for people and for machines.

use serde_json::{Value, json};

use super::cover::Proof;
use super::wear::Roller;
use super::{Class, OfGuide, Row, Sets, Shared, alike, left_out, numbers};
use crate::error;
use crate::format::columns::aligned;
use crate::kit::interval::Ask;
use crate::lane::{Lane, NoLane, report};
use crate::layout::Placed;
use crate::units::{EXACT, FINE, Written, counted, short};

/// Most columns of guides in a table of text.
const MOST_COLUMNS: usize = 5;

/// How many blocks there are, and why no fewer, in words.
pub fn proof(class: &Class) -> String {
    let (count, most) = (class.blocks.len(), class.asked.most);
    let (one, many) = class.word();
    let all = format!("{}, with up to {} each", counted(count, one, many), counted(most, "fence", "fences"));
    match &class.proof {
        Proof::One => format!("One {one} serves them all."),
        Proof::Fences(needed) => format!(
            "{all}, are the fewest possible: {} would hold {}, and the guides need {needed} between them.",
            counted(count - 1, one, many),
            counted((count - 1) * most, "fence", "fences"),
        ),
        Proof::Apart(guides) => {
            format!("{all}, are the fewest possible: no two of {} can share a {one}.", numbers(guides))
        }
        Proof::Program(_) => {
            format!("{all}, are the fewest possible: every way in which guides can share was weighed (method: --json).")
        }
        Proof::Open(least) => {
            format!(
                "{all}. At least {} are needed; whether fewer than {count} would do is not known.",
                counted(*least, one, many)
            )
        }
    }
}

/// How the fewest blocks are proven, for machines.
fn method(proof: &Proof) -> String {
    match proof {
        Proof::One => "one block serves all guides".into(),
        Proof::Fences(needed) => format!("interval stabbing: all guides together need {needed} fences"),
        Proof::Apart(guides) => format!("pairs that cannot share a block: any two of {}", numbers(guides)),
        Proof::Program(sets) => format!(
            "integer program (set cover) over all {sets} largest sets of guides that can share a block: one block fewer is infeasible"
        ),
        Proof::Open(_) => "a lower bound alone: too many sets of guides can share a block to weigh all".into(),
    }
}

/// When the rollers of a block's guides are to be measured again, and what then.
pub fn recheck(class: &Class, block: &Shared) -> String {
    let day = block.recheck.day;
    let why = if block.recheck.is_yearly { " (yearly)" } else { "" };
    format!(
        "Measure the rollers again by {day}{why}. If one is thinner than its least diameter, stop using that guide with this block: fit a new roller, or measure the guide and run class again. This holds for fences that are made within ±{}.",
        class.job.written.length(class.made_within)
    )
}

/// The bevel that a roller's wear puts out of its tolerance first; a dash where none is.
pub fn first_to_leave(class: &Class, block: &Shared, roller: &Roller) -> String {
    roller.limit.map_or_else(
        || "–".into(),
        |(_, ask)| {
            let ask = &block.plan.asks[ask];
            format!("{}, {}", class.kit().blades[ask.blade].name, ask.bevel.name())
        },
    )
}

/// A roller's least diameter as it is read, mm: rounded up, since below it a bevel is off.
pub fn least(written: Written, roller: &Roller) -> String {
    let step = written.caliper_step();
    written.fixed((roller.least() / step).ceil() * step, FINE).to_string()
}

/// The rollers of a block's guides and how thin they may get.
fn rollers(class: &Class, block: &Shared) -> String {
    let written = class.job.written;
    let unit = written.unit();
    let row = |cells: [&str; 4]| cells.map(String::from).to_vec();
    let mut rows = vec![row(["guide", "bevel affected first", "now", "least"]), row(["", "", unit, unit])];
    for roller in &block.recheck.rollers {
        rows.push(vec![
            (roller.guide + 1).to_string(),
            first_to_leave(class, block, roller),
            written.fixed(roller.diameter, FINE).to_string(),
            least(written, roller),
        ]);
    }
    aligned(&rows, 2)
}

/// How the day of a recheck is found.
pub fn wear(class: &Class) -> String {
    format!(
        "By that day, at {} each month, the roller with the least to spare may have lost half of what it can spare. Measure once a year in any case. The rate is an estimate: measure a roller twice, some months apart, and give your own with --wear.",
        class.job.written.short(class.asked.wear, EXACT).said()
    )
}

/// The distances between which a fence must lie, mm: those of its drawing, and so of `verify`.
pub fn limits(lane: &Lane) -> [f64; 2] {
    let room = lane.fence_tolerance();
    [lane.printed() - room, lane.printed() + room]
}

/// What a class comes to, for people.
pub fn text(class: &Class) -> String {
    let kit = class.kit();
    let mut text = format!(
        "{}: {}, {}, {}\n\n",
        class.job.title,
        counted(class.guides.len(), "guide", "guides"),
        counted(kit.blades.len(), "blade", "blades"),
        class.how_many(),
    );
    let row = |cells: [&str; 3]| cells.map(String::from).to_vec();
    let mut rows = vec![row(["guide", "fences alone", "block"])];
    for (index, guide) in class.guides.iter().enumerate() {
        let on = class.blocks.iter().find(|block| block.guides.contains(&index));
        rows.push(vec![
            format!("{} {}", index + 1, guide.guide.name),
            guide.alone.fences.len().to_string(),
            on.map_or_else(String::new, |block| block.numbers()),
        ]);
    }
    text += &aligned(&rows, 1);
    let fences = class.together.fences.len();
    let so_many = match class.together.proven() == fences {
        true => format!(", the fewest possible: no two of {fences} of their bevels can share one"),
        false => String::new(),
    };
    text += &format!("\nAll guides together need {}{so_many}.\n{}\n", counted(fences, "fence", "fences"), proof(class));
    for block in &class.blocks {
        text += &of_block(class, block);
    }
    text + "\n" + &wear(class) + "\n" + &left_out_lines(class)
}

/// What the guides do not set, a line each, after a blank line; nothing where they set it all.
fn left_out_lines(class: &Class) -> String {
    let of_guide = |(index, guide): (usize, &OfGuide)| {
        let line = |lane: &NoLane| {
            let why = class.job.written.reworded(&error::chain(lane));
            format!("guide {}: LEFT OUT: {why}. Use another guide that sets it, or hone it by hand.\n", index + 1)
        };
        left_out(class.kit(), guide).iter().map(line).collect::<String>()
    };
    let lines: String = class.guides.iter().enumerate().map(of_guide).collect();
    if lines.is_empty() { lines } else { format!("\n{lines}") }
}

/// A block: its fences, and which lane sets which bevel.
fn of_block(class: &Class, block: &Shared) -> String {
    let written = class.job.written;
    let unit = written.unit();
    let mut text =
        format!("\n{}, for {}. Fingerprint {}.\n\n", block.name(), numbers(&block.guides), block.job.fingerprint());
    let in_pieces = block.pieces.len() > 1;
    let row = |before: [&str; 2], piece: &str, after: [String; 3]| {
        let piece = in_pieces.then(|| piece.to_string());
        before.map(String::from).into_iter().chain(piece).chain(after).collect::<Vec<_>>()
    };
    let heads = ["fence", "from", "to"].map(String::from);
    let mut rows = vec![row(["lane", "edge"], "block", heads), row(["", ""], "", [0; 3].map(|_| unit.to_string()))];
    let number = |mm: f64| written.fixed(mm, FINE).to_string();
    for (placed, piece) in block.placed() {
        let lane = &placed.lane;
        let lengths = [lane.printed(), limits(lane)[0], limits(lane)[1]].map(number);
        rows.push(row([&lane.request.id, placed.edge.name()], &piece.to_string(), lengths));
    }
    text += &aligned(&rows, 2);
    let of_tools = block.rows(class);
    for groups in alike(&of_tools).chunks(MOST_COLUMNS) {
        text += "\n";
        text += &tools(class, block, &of_tools, groups);
    }
    text + "\n" + &recheck(class, block) + "\n\n" + &rollers(class, block)
}

/// Which lane sets which bevel, a column for guides that use the same.
fn tools(class: &Class, block: &Shared, of_tools: &[Row], groups: &[Vec<usize>]) -> String {
    let heads = groups.iter().map(|group| block.numbers_of(group));
    let mut rows = vec![["tool", "bevel", "angle, °"].map(String::from).into_iter().chain(heads).collect::<Vec<_>>()];
    for row in of_tools {
        let own = [class.kit().blades[row.blade].name.clone(), row.bevel.name().into(), short(row.angle, 2)];
        let lanes = groups.iter().map(|group| block.set_words(row.sets[group[0]]));
        rows.push(own.into_iter().chain(lanes).collect());
    }
    aligned(&rows, 2)
}

/// What was found of the lanes and blocks of a class and is worth a warning, a line each.
pub fn warnings(class: &Class) -> String {
    let of_block = |block: &Shared| {
        let of_lanes = report::warning_lines(&block.set.lanes);
        let of_lanes = of_lanes.lines().map(|line| format!("{}: {line}\n", block.name()));
        let of_pieces = block.pieces.iter().flat_map(|piece| {
            let number = piece.number.map_or(1, |[i, _]| i);
            let found = piece.findings.iter().filter(|finding| finding.warns());
            found.map(move |finding| format!("Block {number}: {}\n", finding.said()))
        });
        of_lanes.chain(of_pieces).collect::<String>()
    };
    class.blocks.iter().map(of_block).collect()
}

/// All of it for machines; mm and degrees, full digits.
pub fn json(class: &Class) -> Value {
    let kit = class.kit();
    let guide = |(index, guide): (usize, &OfGuide)| {
        let ask = |ask: &Ask| {
            json!({
                "blade": kit.blades[ask.blade].name, "bevel": ask.bevel.name(), "seat": ask.seat, "angle": ask.angle,
                "interval": ask.interval, "places": ask.places, "passing": ask.passing,
            })
        };
        json!({
            "number": index + 1,
            "name": guide.guide.name,
            "fences_alone": guide.alone.fences.len(),
            "bevels": guide.alone.asks.iter().map(ask).collect::<Vec<_>>(),
            "unserved": report::left_out(&left_out(kit, guide), class.job.written),
        })
    };
    let block = |block: &Shared| {
        let fence = |(placed, piece): (&Placed, usize)| {
            let lane = &placed.lane;
            json!({
                "lane": lane.request.id, "block": piece, "edge": placed.edge,
                "fence_distance": lane.finished(), "limits": lane.limits,
            })
        };
        let bevel = |row: Row| {
            let lane = |sets: &Sets| match sets {
                Sets::Lane(lane) => json!(block.set.lanes[*lane].request.id),
                Sets::ByHand | Sets::Passing => Value::Null,
            };
            json!({
                "blade": kit.blades[row.blade].name, "bevel": row.bevel.name(), "angle": row.angle,
                "lanes": row.sets.iter().map(lane).collect::<Vec<_>>(),
                "passing": row.sets.iter().map(|sets| *sets == Sets::Passing).collect::<Vec<_>>(),
            })
        };
        let roller = |roller: &Roller| {
            let bevel = |(_, ask): (f64, usize)| {
                let ask = &block.plan.asks[ask];
                json!({ "blade": kit.blades[ask.blade].name, "bevel": ask.bevel.name() })
            };
            json!({
                "guide": roller.guide + 1, "diameter": roller.diameter, "may_lose": roller.limit.map(|(lost, _)| lost),
                "first": roller.limit.map(bevel),
            })
        };
        json!({
            "guides": counted_from_one(&block.guides),
            "pieces": block.pieces.len(),
            "fingerprint": block.job.fingerprint(),
            "fences": block.placed().into_iter().map(fence).collect::<Vec<_>>(),
            "bevels": block.rows(class).into_iter().map(bevel).collect::<Vec<_>>(),
            "recheck": {
                "by": block.recheck.day.to_string(),
                "rollers": block.recheck.rollers.iter().map(roller).collect::<Vec<_>>(),
            },
        })
    };
    let (way, least) = match &class.proof {
        Proof::One => ("one block", class.blocks.len()),
        Proof::Fences(_) => ("fences", class.blocks.len()),
        Proof::Apart(_) => ("guides that cannot share", class.blocks.len()),
        Proof::Program(_) => ("integer program", class.blocks.len()),
        Proof::Open(least) => ("not proven", *least),
    };
    json!({
        "title": class.job.title,
        "fingerprint": class.job.fingerprint(),
        "tolerance": class.job.tolerance,
        "block_thickness": class.edge.thickness,
        "most_fences": class.asked.most,
        "guides": class.guides.iter().enumerate().map(guide).collect::<Vec<_>>(),
        "fences_together": { "fences": class.together.fences.len(), "proven": class.together.proven() },
        "fewest": { "blocks": class.blocks.len(), "least": least, "way": way, "method": method(&class.proof) },
        "made_within": class.made_within,
        "wear_a_month": class.asked.wear,
        "from": class.asked.from.to_string(),
        "blocks": class.blocks.iter().map(block).collect::<Vec<_>>(),
    })
}

/// Guides by their numbers.
fn counted_from_one(guides: &[usize]) -> Vec<usize> {
    guides.iter().map(|guide| guide + 1).collect()
}
