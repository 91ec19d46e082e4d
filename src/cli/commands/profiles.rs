//! `profiles`: what is built in.

use serde_json::json;

use crate::cli::Said;
use crate::cli::args::{ProfilesArgs, SchemaArg};
use crate::cli::failure::Failure;
use stopwright::guide::named::{self, GUIDES, NoFiles, TOOLS};
use stopwright::input::fault::{Fault, Faults};
use stopwright::profile::measured::{CorrectionsFile, MeasuredFile};
use stopwright::profile::{FitFile, GuideProfile, JobFile, KitFile, LogFile, TestPieceFile, ToolProfile, schema_of};
use stopwright::units::{FINE, Units, Written, short};

pub(super) fn profiles(args: &ProfilesArgs) -> Result<Said, Failure> {
    let out = match (&args.name, args.schema) {
        (_, Some(kind)) => schema(kind),
        (Some(name), None) => text(name)?,
        (None, None) => list(args.json, args.lengths.beside(Units::Mm).1)?,
    };
    Ok(Said { out, ..Said::default() })
}

fn schema(kind: SchemaArg) -> String {
    let schema = match kind {
        SchemaArg::Guide => schema_of::<GuideProfile>(),
        SchemaArg::Tool => schema_of::<ToolProfile>(),
        SchemaArg::Job => schema_of::<JobFile>(),
        SchemaArg::Measured => schema_of::<MeasuredFile>(),
        SchemaArg::Corrections => schema_of::<CorrectionsFile>(),
        SchemaArg::Fit => schema_of::<FitFile>(),
        SchemaArg::Testpiece => schema_of::<TestPieceFile>(),
        SchemaArg::Kit => schema_of::<KitFile>(),
        SchemaArg::Log => schema_of::<LogFile>(),
    };
    format!("{schema:#}\n")
}

fn text(name: &str) -> Result<String, Failure> {
    let all = || GUIDES.iter().chain(TOOLS);
    let found = all().find(|b| b.name == name).map(|b| b.text.to_string());
    found.ok_or_else(|| {
        let fault = Fault::unknown("NAME", name, all().map(|b| b.name).collect::<Vec<_>>());
        Faults(vec![fault]).into()
    })
}

fn list(as_json: bool, written: Written) -> Result<String, Failure> {
    let guides = GUIDES.iter().map(|b| named::guide(b.name, &NoFiles)).collect::<Result<Vec<_>, _>>()?;
    let tools = TOOLS.iter().map(|b| named::tool(b.name, &NoFiles)).collect::<Result<Vec<_>, _>>()?;
    if as_json {
        let value = json!({
            "guides": guides.iter().map(|g| json!({ "name": g.name, "notes": g.notes })).collect::<Vec<_>>(),
            "tools": tools.iter().map(|t| json!({ "name": t.name, "seat": t.seat, "notes": t.notes })).collect::<Vec<_>>(),
        });
        return Ok(format!("{value:#}\n"));
    }
    let mut text = String::from("Guides (all dimensions are invented: measure yours)\n");
    for guide in &guides {
        let seats: Vec<String> =
            guide.seats().map(|(name, seat)| format!("{name} seat: {}", seat.locates.name())).collect();
        text += &format!("  {:<18} {}\n", guide.name, seats.join(", "));
    }
    text += "\nTool classes (sizes are ranges: measure yours)\n";
    for tool in &tools {
        let angles: Vec<String> = tool.angles.iter().map(|a| format!("{}°", short(a.angle, 2))).collect();
        text += &format!(
            "  {:<18} {} seat, {} to {} thick, advised {}\n",
            tool.name,
            tool.seat,
            written.short(tool.thickness.mm - tool.thickness.within.unwrap_or(0.0), FINE),
            written.size(tool.thickness.mm + tool.thickness.within.unwrap_or(0.0)),
            angles.join(" ")
        );
    }
    text += "\nPrint one to start your own from: stopwright profiles NAME > my-guide.json\n";
    Ok(text)
}
