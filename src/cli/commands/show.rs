//! `show`: the side view.

use std::path::Path;

use super::blade::{Asked, Reader};
use crate::cli::args::ShowArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, report};
use stopwright::fit;
use stopwright::format::names::file_name;
use stopwright::format::{Artifact, svg};
use stopwright::honing::stone::Stone;
use stopwright::honing::{Honing, warnings};
use stopwright::lane::DEFAULT_TOLERANCE;
use stopwright::lane::report::warning_lines;
use stopwright::lane::{BlockOptions, DEFAULT_FENCE_WITHIN, Lane};
use stopwright::lanes;
use stopwright::solve::ANGLE_RANGE;
use stopwright::terms::ProjectionAngle;
use stopwright::units::short;
use stopwright::views::side_view::{self, Stand};

pub(super) fn show(args: &ShowArgs) -> Result<Said, Failure> {
    let guide = fit::guide::named(&args.guide, &Disk::here())?;
    let mut reader = Reader::for_guide(&args.blade.lengths, guide.units);
    let written = reader.written();
    let asked = Asked::read(&args.blade, &guide, &Disk::here(), &mut reader);
    let angle = reader.degrees("--angle", Some(&args.angle), ANGLE_RANGE);
    let mut length = |flag, text: &Option<String>, range| reader.exact(flag, text.as_ref(), range);
    let stone = Stone {
        length: length("--stone", &args.stone, [20.0, 1000.0]),
        hollow_along: length("--hollow", &args.hollow, [-5.0, 5.0]),
        film: length("--film", &args.film, [0.0, 5.0]),
        ..Stone::default()
    };
    reader.finish()?;
    let request = asked.at(angle.unwrap_or(ANGLE_RANGE[0]));
    let mut set =
        lanes::build_all(&guide, &[request], &BlockOptions::default(), DEFAULT_TOLERANCE, Some(DEFAULT_FENCE_WITHIN))
            .map_err(|lanes| Failure::NoLanes(lanes).read_in(written))?;
    let honing = Honing { stone, ..Honing::default() };
    for lane in &mut set.lanes {
        let found = warnings::of(lane, &honing, DEFAULT_TOLERANCE);
        lane.findings.extend(found);
    }
    let Some(lane) = set.lanes.first() else {
        return Err(Failure::Program("a request without a lane".into()));
    };
    let stand = if args.block {
        Stand::Block {
            edge: set.edge,
            fence_height: stopwright::layout::usual_fence_height(&set.lanes),
            overhang: lane.overhang + stopwright::layout::OVERHANG_MARGIN,
            foot_relief: true,
        }
    } else if stone == Stone::default() {
        Stand::Stone
    } else {
        Stand::OwnStone(stone)
    };
    let sheet = side_view::sheet(&guide, None, lane, stand, None, ProjectionAngle::Third);
    let name = format!("{}{}.svg", file_name(&lane.request.id), if args.block { "-block" } else { "" });
    let what = if args.block { "side view at the block" } else { "side view on the stone" };
    let artifacts = [Artifact { name, what: what.into(), bytes: svg::write(&sheet) }];
    let folder = args.out.clone().unwrap_or_else(|| Path::new("out").join(file_name(&guide.name)));
    let paths = files::write_all(&folder, &artifacts, args.force)?;
    let out = if args.quiet { String::new() } else { summary(lane) + &report::written(&artifacts, &paths) };
    Ok(Said::with_warnings(out, warning_lines([lane]), !args.quiet))
}

fn summary(lane: &Lane) -> String {
    let (setting, written) = (&lane.setting, lane.request.written);
    let mut text = format!(
        "{}°: projection {}, fence {}\n",
        short(setting.angle, 3),
        written.length(setting.projection),
        written.length(setting.fence_distance),
    );
    for finding in &lane.findings {
        text += &format!("{}\n", finding.said());
    }
    text
}
