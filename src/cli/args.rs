//! The arguments.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::words;
use stopwright::format::ArtifactKind;
use stopwright::job::Job;
use stopwright::terms::{Along, LengthsShown, PaperSize, PlaneKind, SeatName};
use stopwright::units::{Units, Written};

/// Setting blocks for honing guides, from your own guide's measurements.
#[derive(Debug, Parser)]
#[command(name = "stopwright", version, arg_required_else_help = true, disable_help_subcommand = true)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Colour in reports: auto where a terminal is (and `NO_COLOR` is not set)
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: clap::ColorChoice,
}

/// The commands, in the order of [`GROUPS`].
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Measure your own guide: questions here, or a sheet to print
    #[command(after_help = "\
Examples:
  stopwright measure
  stopwright measure --sheet --paper Letter
  stopwright measure --name my-guide \\
    --set roller.diameter=\"16.0 mm +- 0.05 mm\" \\
    --set face.over_roller=\"19.01; 18.98; 19.00\" \\
    --set seats.iron.locates=underside --set seats.iron.gauge=6.00 \\
    --set seats.iron.over_roller=35.90

Without --set it asks one question at a time, or reads the answers from a pipe. It writes nothing before the last \
answer. Edges cut: take blades out of the guide before you measure it.")]
    Measure(MeasureArgs),
    /// Work out a guide from settings that you already know
    #[command(after_help = "\
Examples:
  stopwright fit examples/known-settings.json --angles 25,30,35
  stopwright fit examples/known-settings.json --out fitted-guide.json
  stopwright profiles --schema fit > fit.schema.json

`stopwright ask settings` asks for the settings and writes the file.")]
    Fit(FitArgs),
    /// List the built-in guides and tools, or print one to start from
    #[command(after_help = "\
Examples:
  stopwright profiles
  stopwright profiles narrow-side-clamp > my-guide.json
  stopwright profiles --schema guide > guide.schema.json")]
    Profiles(ProfilesArgs),
    /// Draw a guide's side view, on the stone or at the block
    #[command(after_help = "\
Examples:
  stopwright show narrow-side-clamp --tool plane-iron --angle 30
  stopwright show narrow-side-clamp --tool plane-iron --angle 30 --stone 200
  stopwright show my-guide.json --tool bench-chisel --angle 25 --block")]
    Show(ShowArgs),
    /// Fence distances, for a guide or for a job
    #[command(after_help = "\
Examples:
  stopwright offsets narrow-side-clamp --tool plane-iron --angles 25,30,35
  stopwright offsets my-guide.json --tool plane-iron --units in \\
    --thickness \"3/32 in\"
  stopwright offsets examples/tool-chest.json --details")]
    Offsets(OffsetsArgs),
    /// The bevel angle that a fence, a projection or a bevel gives
    #[command(after_help = "\
Examples:
  stopwright angle narrow-side-clamp --tool plane-iron --fence \"1 35/64 in\"
  stopwright angle narrow-side-clamp --tool plane-iron --projection 39.2
  stopwright angle --thickness 3.1 --bevel-length 6.2")]
    Angle(AngleArgs),
    /// Angles for all blades of a kit, and the fewest fences for them
    #[command(after_help = "\
Examples:
  stopwright kit examples/alder-lane-kit.json --guide narrow-side-clamp
  stopwright kit my-kit.json --guide my-guide.json --tolerance 0.3
  stopwright kit my-kit.json --guide my-guide.json --job my-kit-job.json
  stopwright make my-kit-job.json

`stopwright ask kit` asks for the blades and writes the file. `stopwright help kit` says how a kit works.

Exit code 0, also where no fence serves a bevel: the report says so. 2 for bad input.")]
    Kit(KitArgs),
    /// Micro-bevel widths, hollows, back bevels, and the steel that a new bevel takes
    #[command(after_help = "\
Examples:
  stopwright bevel --thickness 3 --primary 25 --micro 30 --recession 0.2
  stopwright bevel --thickness 3 --primary 25 --micro 30 --micro-width 1.2
  stopwright bevel --thickness 3 --primary 25 --recession 0.8
  stopwright bevel --thickness 3 --primary 25 --wheel 150
  stopwright bevel --thickness 2.4 --primary 25 --rule 0.5 --rule-at 60
  stopwright bevel --thickness 2.4 --primary 25 --back-bevel 15
  stopwright bevel --thickness \"1/8 in\" --primary 30 --change-to 25 --json")]
    Bevel(BevelArgs),
    /// Camber depth and radius, and the strokes that make it
    #[command(after_help = "\
Examples:
  stopwright camber --width 51 --plane jack
  stopwright camber --width 51 --shaving 0.1 --bed 12 --angle 30
  stopwright camber --width 51 --depth 0.4 --guide narrow-side-clamp

Give exactly one of --depth, --plane and --shaving.")]
    Camber(CamberArgs),
    /// Judge a set of abrasives by the steps between its grades
    #[command(after_help = "\
Examples:
  stopwright grits P220,P400,P600,P800,P1500,P2000
  stopwright grits \"CAMI 320, JIS 1000, JIS 4000, 0.5 um\" --json")]
    Grits(GritsArgs),
    /// Answer questions instead of writing a file
    #[command(after_help = "\
Examples:
  stopwright ask job
  stopwright ask kit --out my-kit.json
  stopwright ask settings
  stopwright ask measured my-chisels.json

It asks one question at a time, or reads the answers from a pipe. Enter takes what stands in brackets. It writes \
nothing before the last answer.")]
    Ask {
        /// What to ask for.
        #[command(subcommand)]
        what: AskFor,
    },
    /// Make all that a job asks for: block, drawings, wooden jig
    #[command(after_help = "\
Examples:
  stopwright make examples/tool-chest.json
  stopwright make my-chisels.json --out blocks/chisels
  stopwright make my-chisels.json --only stl,drawing
  stopwright make jobs/*.json --out blocks

`stopwright ask job` asks what you want and writes the job. `stopwright help files` says what each file is for.

Exit code 0 when all is made, 2 for bad input, 3 when all is made except blades of a kit that the guide cannot set, \
70 for a bug in stopwright, 129, 130, 131 or 143 after an interrupt.")]
    Make {
        /// Jobs and output.
        #[command(flatten)]
        args: MakeArgs,
        /// What to make, separated by commas [default: all a job asks for]
        #[arg(long, value_name = "LIST", value_delimiter = ',', value_parser = words::kind())]
        only: Vec<ArtifactKind>,
    },
    /// Make the printed block alone: its files, drawing and picture
    #[command(hide = true)]
    Block(MakeArgs),
    /// Make the wooden jig alone: cut list, drawings, template
    #[command(after_help = "\
Examples:
  stopwright cutsheet examples/tool-chest.json
  stopwright cutsheet examples/tool-chest.json --lengths both --fraction 32
  stopwright cutsheet my-chisels.json --printed-bar 99.6,99.8

`stopwright help wood` says how the jig is built.

Saws, planes and drills cut, and dust harms eyes and lungs: follow your tools' makers' instructions and local rules.")]
    Cutsheet(CutsheetArgs),
    /// Draw the block from any side
    #[command(after_help = "\
Examples:
  stopwright picture examples/tool-chest.json --azimuth 210 --elevation 25
  stopwright picture examples/tool-chest.json --elevation 90")]
    Picture(PictureArgs),
    /// Bench cards for the blades of a kit
    #[command(after_help = "\
Examples:
  stopwright card examples/alder-lane-kit-job.json --paper index
  stopwright card examples/alder-lane-kit-job.json --blade jack --paper A4")]
    Card(CardArgs),
    /// Gauges to check bevels, cambers and square edges with
    #[command(after_help = "\
Examples:
  stopwright gauges --angles 25,30,35
  stopwright gauges --angles 25,30 --thickness \"1/8 in\" --units in --metal
  stopwright gauges --camber 51,0.25 --camber \"2 in,0.8 mm\" --square=60
  stopwright gauges examples/tool-chest.json --square --metal

With a job, the job's angles, tolerance, thickest blade and printer count.

Exit code 0 when all is made, 2 for bad input, 3 when all is made except what a gauge cannot show.")]
    Gauges(GaugesArgs),
    /// Prove the angle of a set blade on a flat plate, before a stone touches it
    #[command(after_help = "\
Examples:
  stopwright plate examples/tool-chest.json
  stopwright plate --heights 12.31,42.35 --apart 60
  stopwright plate --heights 12.3,42.4 --heights 12.2,42.2 --apart 60
  stopwright plate --inclinometer 30.4,29.8

With a job it makes the sheet that shows where to measure, with what each lane should come to. With readings it works out
the angle and how well it is known; several settings of one lane also show how well you set. Two angles of an inclinometer
are before and after guide and blade are turned end for end beneath it.

\"stopwright verify\" judges readings of a job's lanes: \"stopwright ask measured\" writes them down.

Exit code 0 when all is made or worked out, 2 for bad input.")]
    Plate(PlateArgs),
    /// A test piece that shows how true your printer prints
    #[command(after_help = "\
Examples:
  stopwright testpiece
  stopwright testpiece --bed 180,180 --paper Letter
  stopwright testpiece examples/test-piece-measured.json

Exit code 0 when the readings agree, 1 when they do not, 2 for bad input.")]
    Testpiece(TestpieceArgs),
    /// Check a finished block by what you measured on it
    #[command(after_help = "\
Examples:
  stopwright verify examples/tool-chest.json examples/tool-chest-measured.json
  stopwright verify examples/tool-chest.json \\
    examples/tool-chest-measured.json --write-corrections corrections.json
  stopwright make examples/tool-chest.json --corrections corrections.json \\
    --out out/corrected
  stopwright verify examples/tool-chest.json --guide my-worn-guide.json

`stopwright ask measured JOB` asks for the measurements and writes the file.

Exit code 0 when all measured lanes pass, 1 when one fails, 2 for bad input.")]
    Verify(VerifyArgs),
    /// The fewest blocks for several guides and one list of tools, with a lesson sheet
    #[command(after_help = "\
Examples:
  stopwright class examples/alder-lane-kit-job.json --guides wide-side-clamp
  stopwright class my-kit-job.json --guides my-guide.json --wear \"0.03 mm\"

The job names the list of tools, the printer and the first guide. Guides are numbered in the order in which you name \
them, the job's own first: write the number on each. Each guide uses one block, or one set of blocks where the printer's \
bed is too small for one. Tools that a guide cannot set are listed.

Exit code 0 when all is made, 2 for bad input, 3 when all is made except what a guide cannot set.")]
    Class(ClassArgs),
    /// Write down honings and regrinds, and see what is due
    #[command(after_help = "\
Examples:
  stopwright log my-kit.json
  stopwright log my-kit.json --honed jack --micro-width 0.6
  stopwright log my-kit.json --reground \"try plane\" --date 2026-03-09
  stopwright log my-kit.json --undo")]
    Log(LogArgs),
    /// Help with a command or a topic
    #[command(after_help = "\
Examples:
  stopwright help
  stopwright help make
  stopwright help words")]
    Help {
        /// A command or a topic; without it, the list of both
        #[arg(value_name = "COMMAND|TOPIC")]
        about: Option<String>,
    },
    /// Print a completion script for your shell
    #[command(after_help = "\
Examples:
  stopwright completions bash > stopwright.bash
  stopwright completions zsh > _stopwright")]
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Do all of it in a browser, served on this computer alone
    #[command(after_help = "\
Examples:
  stopwright page
  stopwright page --no-browser --port 4711")]
    Page(PageArgs),
    /// Write the manual pages, one for each command
    #[command(after_help = "\
Examples:
  stopwright manual --out man1")]
    Manual(ManualArgs),
    /// Print the licences of the libraries and the font inside
    #[command(after_help = "\
Examples:
  stopwright notices")]
    Notices,
}

/// Arguments of `page`.
#[derive(Debug, Args)]
pub struct PageArgs {
    /// Port of this computer; 0 for any that is free
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    pub port: u16,
    /// Print the address and open no browser
    #[arg(long)]
    pub no_browser: bool,
}

/// Arguments of `manual`.
#[derive(Debug, Args)]
pub struct ManualArgs {
    /// Folder for the pages
    #[arg(long, short, value_name = "DIR", default_value = "out/man")]
    pub out: PathBuf,
    /// Replace files that the program did not write
    #[arg(long, short)]
    pub force: bool,
}

/// Where the files of a job go, and what is said of them.
#[derive(Debug, Clone, Args)]
pub struct OutputArgs {
    /// Folder for the files; with several jobs DIR/JOB for each [default: out/JOB, of a class out/JOB-class, of the
    /// test piece out/test-piece]
    #[arg(long, short, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace files that the program did not write
    #[arg(long, short)]
    pub force: bool,
    /// Show the rest too: every file, and of lanes what else is known
    #[arg(long, conflicts_with_all = ["json", "quiet"])]
    pub details: bool,
    /// Print what was made as JSON
    #[arg(long)]
    pub json: bool,
    /// Print nothing but errors
    #[arg(long, short, conflicts_with = "json")]
    pub quiet: bool,
    /// Print how long each stage took
    #[arg(long)]
    pub timings: bool,
}

impl OutputArgs {
    /// Whether the user reads a report: neither nothing nor JSON was asked for.
    pub fn reports(&self) -> bool {
        !self.quiet && !self.json
    }
}

/// The unit that lengths are read and shown in.
#[derive(Debug, Clone, Args)]
pub struct UnitsArgs {
    /// Show lengths in this unit, and read numbers without a unit in it [default: the unit of the job, kit or guide;
    /// beside a guide, numbers without a unit are in mm]
    #[arg(long, alias = "lengths", value_parser = words::lengths())]
    pub units: Option<LengthsShown>,
}

/// How fine fractions of an inch are.
#[derive(Debug, Clone, Args)]
pub struct FractionArgs {
    /// Finest fraction of an inch: 64 for 1/64 in [default: the job's wood.fraction, else 64]
    #[arg(long, value_parser = ["64", "32", "16"])]
    pub fraction: Option<String>,
}

/// Arguments of `make` and `block`.
#[derive(Debug, Clone, Args)]
pub struct MakeArgs {
    /// The job files
    #[arg(required = true)]
    pub job: Vec<PathBuf>,
    /// How many jobs to work on at once [default: two for each core, as one often waits for the disk]
    #[arg(long, short, value_name = "N", value_parser = whole_number)]
    pub jobs: Option<NonZeroUsize>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Fractions.
    #[command(flatten)]
    pub fractions: FractionArgs,
    /// Move the fences by the corrections that `verify` wrote
    #[arg(long, value_name = "FILE")]
    pub corrections: Option<PathBuf>,
    /// Make nothing where the guide cannot set a blade of a kit, rather than go on with the rest
    #[arg(long)]
    pub strict: bool,
    /// Where the files go, and what is said of them.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// Arguments of `cutsheet`.
#[derive(Debug, Args)]
pub struct CutsheetArgs {
    /// The job file
    pub job: PathBuf,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Fractions.
    #[command(flatten)]
    pub fractions: FractionArgs,
    /// Paper of the sheets [default: the job's sheet.size, else what suits]
    #[arg(long, value_name = "SIZE", value_parser = words::page())]
    pub paper: Option<PaperSize>,
    /// What the template's 100 mm check bar measured on your print, mm: along the long side of the paper, across it
    #[arg(long, value_name = "ALONG,ACROSS")]
    pub printed_bar: Option<String>,
    /// Change the fences by what measured angles showed of the guide, as `verify` wrote it
    #[arg(long, value_name = "FILE")]
    pub corrections: Option<PathBuf>,
    /// Make nothing where the guide cannot set a blade of a kit, rather than go on with the rest
    #[arg(long)]
    pub strict: bool,
    /// Where the files go, and what is said of them.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// The blade, and how the guide runs.
#[derive(Debug, Args)]
pub struct BladeArgs {
    /// Tool class: a built-in one or the path of a profile
    #[arg(long, value_name = "NAME")]
    pub tool: Option<String>,
    /// Seat the blade goes in [default: the tool's]
    #[arg(long, value_parser = words::seat())]
    pub seat: Option<SeatName>,
    /// Blade thickness at the edge [default: the tool's, with its range as tolerance]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub thickness: Option<String>,
    /// Angle of the back against the underside, degrees, positive when thicker at the edge [default: the tool's]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub taper: Option<String>,
    /// Height of the side lands, for seats that grip the sides [default: the tool's]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub land: Option<String>,
    /// Taper of the side lands, degrees, positive where the land is higher at the edge [default: the tool's]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub land_taper: Option<String>,
    /// Width of the widest blade
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub width: Option<String>,
    /// Primary bevel of the blade, degrees [default: the smallest advised angle of the tool]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub primary: Option<String>,
    /// Height of the roller's track above the honing surface, negative when below it [default: 0]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub roller_level: Option<String>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
}

/// Arguments of `offsets`.
#[derive(Debug, Args)]
pub struct OffsetsArgs {
    /// Guide: a built-in one, the path of a profile, or of a job
    #[arg(value_name = "GUIDE|JOB")]
    pub subject: String,
    /// The blade.
    #[command(flatten)]
    pub blade: BladeArgs,
    /// Bevel angles, degrees, separated by commas [default: the tool's advised angles]
    #[arg(long, value_name = "DEGREES,…", allow_hyphen_values = true)]
    pub angles: Option<String>,
    /// How well a fence can be placed, ± [default: 0.1 mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub fence_within: Option<String>,
    /// Fractions.
    #[command(flatten)]
    pub fractions: FractionArgs,
    /// Show the rest too: projections, slopes, how far the roller sits below the table
    #[arg(long, conflicts_with = "json")]
    pub details: bool,
    /// Show which measurement contributes how much to each angle's uncertainty
    #[arg(long)]
    pub budget: bool,
    /// Print JSON with full digits
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `angle`.
#[derive(Debug, Args)]
pub struct AngleArgs {
    /// Guide: a built-in one or the path of a profile; not needed with --bevel-length
    pub guide: Option<String>,
    /// The blade.
    #[command(flatten)]
    pub blade: BladeArgs,
    /// Distance from the block's edge to the fence
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub fence: Option<String>,
    /// Projection from the face to the edge along the seat
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub projection: Option<String>,
    /// Length of a flat bevel from edge to heel
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub bevel_length: Option<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `bevel`.
#[derive(Debug, Args)]
pub struct BevelArgs {
    /// Blade thickness at the edge
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub thickness: String,
    /// Angle of the back against the underside, degrees, positive when thicker at the edge [default: 0]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub taper: Option<String>,
    /// Width of the blade, for the volume of steel
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub width: Option<String>,
    /// Primary bevel, degrees
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub primary: String,
    /// Micro-bevel, degrees
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub micro: Option<String>,
    /// How far the edge has gone back along the back since the primary bevel was ground; without --micro, how far it is to
    /// go back, as when a nick is ground out
    #[arg(long, value_name = "LENGTH", conflicts_with = "micro_width", allow_hyphen_values = true)]
    pub recession: Option<String>,
    /// Width of the micro-bevel as measured
    #[arg(long, value_name = "LENGTH", requires = "micro", allow_hyphen_values = true)]
    pub micro_width: Option<String>,
    /// How far a honing takes the edge back [default: 0.05 mm, an assumption]
    #[arg(long, value_name = "LENGTH", requires = "micro", allow_hyphen_values = true)]
    pub honing: Option<String>,
    /// Width of the micro-bevel at which the primary is reground [default: 1.5 mm, or a third of the primary if less]
    #[arg(long, value_name = "LENGTH", requires = "micro", allow_hyphen_values = true)]
    pub regrind_at: Option<String>,
    /// Diameter of the wheel that the primary bevel was ground on, which hollows it
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub wheel: Option<String>,
    /// A back bevel that is wanted, degrees
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true, conflicts_with = "rule")]
    pub back_bevel: Option<String>,
    /// Thickness of a rule that lies on the stone and bears the back
    #[arg(long, value_name = "LENGTH", requires = "rule_at", allow_hyphen_values = true)]
    pub rule: Option<String>,
    /// How far behind the edge that rule lies, along the back
    #[arg(long, value_name = "LENGTH", requires = "rule", allow_hyphen_values = true)]
    pub rule_at: Option<String>,
    /// New primary bevel, degrees
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub change_to: Option<String>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Print JSON with full digits
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `camber`.
#[derive(Debug, Args)]
pub struct CamberArgs {
    /// The blade.
    #[command(flatten)]
    pub blade: BladeArgs,
    /// Depth of the camber in the plane of the back
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub depth: Option<String>,
    /// Kind of plane
    #[arg(long, value_name = "KIND", value_parser = words::plane())]
    pub plane: Option<PlaneKind>,
    /// Thickness of a shaving that feathers out to nothing at its sides
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub shaving: Option<String>,
    /// Width of that shaving [default: the blade's]
    #[arg(long, value_name = "LENGTH", requires = "shaving", allow_hyphen_values = true)]
    pub shaving_width: Option<String>,
    /// Angle of the back to the plane's sole, degrees [default: 45]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub bed: Option<String>,
    /// Angle that is honed, degrees [default: the primary bevel, else 25]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub angle: Option<String>,
    /// Guide whose roller is judged: a built-in one or the path of a profile
    #[arg(long, value_name = "GUIDE")]
    pub guide: Option<String>,
    /// Width of your finger [default: 16 mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub finger: Option<String>,
    /// Take the pressure to stay within this much of the finger, instead of a stiff edge's
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub spread: Option<String>,
    /// Grade that makes the camber [default: of P220 to P2000 the finest that needs few strokes]
    #[arg(long, value_name = "GRADE")]
    pub grit: Option<String>,
    /// Depth that a stroke wears, evenly pressed [default: by the grade, an assumption]
    #[arg(long, value_name = "LENGTH", conflicts_with = "grit", allow_hyphen_values = true)]
    pub per_stroke: Option<String>,
    /// Print JSON with full digits
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `grits`.
#[derive(Debug, Args)]
pub struct GritsArgs {
    /// The grades in the order of use, separated by commas: P400, CAMI 320, JIS 1000, F400, 600 mesh or 15 um, each with its
    /// kind after it where you say it: paper, water-stone, oil-stone, diamond-plate or film
    #[arg(value_name = "GRADES")]
    pub set: String,
    /// Print JSON with full digits
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `show`.
#[derive(Debug, Args)]
pub struct ShowArgs {
    /// Guide: a built-in one or the path of a profile
    pub guide: String,
    /// The blade.
    #[command(flatten)]
    pub blade: BladeArgs,
    /// Bevel angle, degrees
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub angle: String,
    /// Draw the guide at the block instead of on the stone
    #[arg(long)]
    pub block: bool,
    /// Length of your stone, to see how much of it the setting takes
    #[arg(long, value_name = "LENGTH", conflicts_with = "block", allow_hyphen_values = true)]
    pub stone: Option<String>,
    /// How deep the stone is hollow along its length, less than 0 where it is crowned
    #[arg(long, value_name = "DEPTH", conflicts_with = "block", allow_hyphen_values = true)]
    pub hollow: Option<String>,
    /// Thickness of a film or paper under the edge and not under the roller
    #[arg(long, value_name = "LENGTH", conflicts_with = "block", allow_hyphen_values = true)]
    pub film: Option<String>,
    /// Folder for the drawing [default: out/GUIDE]
    #[arg(long, short, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace a file that the program did not write
    #[arg(long, short)]
    pub force: bool,
    /// Print nothing but errors
    #[arg(long, short)]
    pub quiet: bool,
}

/// Arguments of `card`.
#[derive(Debug, Args)]
pub struct CardArgs {
    /// The job file, of a job with a kit
    pub job: PathBuf,
    /// The blade, by its name in the kit [default: the kit and all its blades]
    #[arg(long, value_name = "NAME")]
    pub blade: Option<String>,
    /// Paper of the cards [default: A5, or half Letter where the job is in inches]
    #[arg(long, value_name = "SIZE", value_parser = words::card_paper())]
    pub paper: Option<PaperSize>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Corrections that the block was made with
    #[arg(long, value_name = "FILE")]
    pub corrections: Option<PathBuf>,
    /// Make nothing where the guide cannot set a blade of a kit, rather than go on with the rest
    #[arg(long)]
    pub strict: bool,
    /// Folder for the cards [default: out/JOB]
    #[arg(long, short, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace files that the program did not write
    #[arg(long, short)]
    pub force: bool,
    /// Print nothing but errors
    #[arg(long, short)]
    pub quiet: bool,
}

/// Arguments of `log`.
#[derive(Debug, Args)]
pub struct LogArgs {
    /// The kit file
    pub kit: PathBuf,
    /// The log [default: KIT-log.json beside the kit]
    #[arg(long, value_name = "FILE")]
    pub file: Option<PathBuf>,
    /// Take the entry that was written last out again
    #[arg(long, conflicts_with_all = ["honed", "reground", "date", "micro_width", "strokes", "note"])]
    pub undo: bool,
    /// Write down that this blade was honed
    #[arg(long, value_name = "BLADE", conflicts_with = "reground")]
    pub honed: Option<String>,
    /// Write down that this blade's primary bevel was ground anew
    #[arg(long, value_name = "BLADE")]
    pub reground: Option<String>,
    /// The day, year-month-day [default: today]
    #[arg(long)]
    pub date: Option<String>,
    /// Width of the micro-bevel after it
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub micro_width: Option<String>,
    /// Strokes that it took, by grade: P400=12,P800=10; cards then say what yours took
    #[arg(long, value_name = "COUNTS")]
    pub strokes: Option<String>,
    /// Anything worth knowing
    #[arg(long)]
    pub note: Option<String>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Print nothing but errors
    #[arg(long, short, conflicts_with = "json")]
    pub quiet: bool,
}

/// Arguments of `picture`.
#[derive(Debug, Args)]
pub struct PictureArgs {
    /// The job file
    pub job: PathBuf,
    /// Where it is seen from, degrees counter-clockwise from the near edge's side as seen from above
    #[arg(long, value_name = "DEGREES", default_value = "30", allow_hyphen_values = true)]
    pub azimuth: String,
    /// How high it is seen from, degrees above the bench; 90 from above, -90 from below
    #[arg(long, value_name = "DEGREES", default_value = "40", allow_hyphen_values = true)]
    pub elevation: String,
    /// Folder for the pictures [default: out/JOB]
    #[arg(long, short, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace files that the program did not write
    #[arg(long, short)]
    pub force: bool,
    /// Print nothing but errors
    #[arg(long, short)]
    pub quiet: bool,
}

/// Arguments of `verify`.
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// The job the block was made from
    pub job: PathBuf,
    /// The measurements
    #[arg(required_unless_present = "guide")]
    pub measured: Option<PathBuf>,
    /// The block is the wooden jig of `cutsheet`
    #[arg(long)]
    pub wood: bool,
    /// Judge by a guide measured again, instead of the one the block was made from
    #[arg(long, value_name = "PROFILE")]
    pub guide: Option<String>,
    /// Corrections that the block was made with
    #[arg(long, value_name = "FILE")]
    pub corrections: Option<PathBuf>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Fractions.
    #[command(flatten)]
    pub fractions: FractionArgs,
    /// Pass a lane only if its error and uncertainty together are within the tolerance
    #[arg(long)]
    pub guard_band: bool,
    /// Write the corrections that a new block needs
    #[arg(long, value_name = "FILE", conflicts_with = "guide")]
    pub write_corrections: Option<PathBuf>,
    /// Replace a file that the program did not write
    #[arg(long, short)]
    pub force: bool,
    /// Print JSON with full digits
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `fit`.
#[derive(Debug, Args)]
pub struct FitArgs {
    /// The file of known settings
    pub file: PathBuf,
    /// Bevel angles to predict projections for, degrees, separated by commas
    #[arg(long, value_name = "DEGREES,…", default_value = "25,30,35", allow_hyphen_values = true)]
    pub angles: String,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Print JSON with full digits
    #[arg(long)]
    pub json: bool,
    /// Write the fitted guide profile, if it is whole
    #[arg(long, short, value_name = "PROFILE.json")]
    pub out: Option<PathBuf>,
    /// Replace a file that the program did not write
    #[arg(long, short)]
    pub force: bool,
}

/// Arguments of `measure`.
#[derive(Debug, Args)]
pub struct MeasureArgs {
    /// Your name for the guide; the profile is called NAME.json
    #[arg(long)]
    pub name: Option<String>,
    /// Unit of bare numbers [default: asked for; mm with --set]
    #[arg(long, value_parser = words::unit())]
    pub units: Option<Units>,
    /// A field of the profile and its value, without questions; several readings are separated by ;
    #[arg(long, value_name = "FIELD=VALUE")]
    pub set: Vec<String>,
    /// Make a sheet to print, with a drawing of where to measure and blanks to fill in
    #[arg(long, conflicts_with_all = ["name", "units", "set"])]
    pub sheet: bool,
    /// Paper of that sheet
    #[arg(long, value_name = "SIZE", value_parser = words::page(), default_value = "A4", requires = "sheet")]
    pub paper: PaperSize,
    /// Folder for the files [default: out/NAME, for the sheet out]
    #[arg(long, short, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace files that the program did not write
    #[arg(long, short)]
    pub force: bool,
    /// Print nothing but questions and errors
    #[arg(long, short)]
    pub quiet: bool,
}

/// What `ask` asks for.
#[derive(Debug, Subcommand)]
pub enum AskFor {
    /// A job: your guide, your blades and the angles you want
    #[command(after_help = "Example:\n  stopwright ask job --out my-chisels.json")]
    Job(AskArgs),
    /// A kit: the blades of your drawer
    #[command(after_help = "Example:\n  stopwright ask kit --out my-kit.json")]
    Kit(AskArgs),
    /// Known settings of your guide, from a leaflet or from use
    #[command(after_help = "Example:\n  stopwright ask settings --out my-settings.json")]
    Settings(AskArgs),
    /// What you measured on the finished block of a job, lane by lane
    #[command(after_help = "Example:\n  stopwright ask measured my-chisels.json")]
    Measured {
        /// The job the block was made from
        job: PathBuf,
        /// The block is the wooden jig of `cutsheet`
        #[arg(long)]
        wood: bool,
        /// Where the file goes.
        #[command(flatten)]
        args: AskArgs,
    },
    /// Your own guide, the same as `measure`
    #[command(after_help = "Example:\n  stopwright ask guide --name my-guide")]
    Guide(MeasureArgs),
}

/// Arguments of `ask`.
#[derive(Debug, Args)]
pub struct AskArgs {
    /// The file to write [default: asked for]
    #[arg(long, short, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Replace a file that the program did not write
    #[arg(long, short)]
    pub force: bool,
}

/// Arguments of `plate`.
#[derive(Debug, Args)]
pub struct PlateArgs {
    /// The job file, for its sheet
    pub job: Option<PathBuf>,
    /// Heights of the blade's back above the plate, near the edge and further from it; once for each setting
    #[arg(long, value_name = "P,Q", allow_hyphen_values = true)]
    pub heights: Vec<String>,
    /// Length between the two heights [default of the sheet: as far as clears the guide]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub apart: Option<String>,
    /// What that length lies along [default: back]
    #[arg(long, value_name = "WHAT", requires = "heights", value_parser = words::along())]
    pub along: Option<Along>,
    /// What an inclinometer on the back reads, degrees, and what it reads turned end for end; once for each setting
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true, conflicts_with_all = ["heights", "apart"])]
    pub inclinometer: Vec<String>,
    /// Paper of the sheet [default: A4; Letter with inches]
    #[arg(long, value_name = "SIZE", value_parser = words::page())]
    pub paper: Option<PaperSize>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Folder for the sheet [default: out/JOB]
    #[arg(long, short, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace files that the program did not write
    #[arg(long, short)]
    pub force: bool,
    /// Print nothing but errors
    #[arg(long, short)]
    pub quiet: bool,
    /// Print JSON
    #[arg(long, conflicts_with = "job")]
    pub json: bool,
}

/// Arguments of `testpiece`.
#[derive(Debug, Args)]
pub struct TestpieceArgs {
    /// The readings, in the form that the command wrote; without them it makes the piece
    #[arg(value_name = "MEASURED.json", conflicts_with_all = ["bed", "paper", "out", "force", "timings"])]
    pub measured: Option<PathBuf>,
    /// Width and depth of the printer's bed [default: 220,220 mm]
    #[arg(long, value_name = "W,D", allow_hyphen_values = true)]
    pub bed: Option<String>,
    /// Paper of the check sheet [default: A4; Letter with --units in]
    #[arg(long, value_name = "SIZE", value_parser = words::page())]
    pub paper: Option<PaperSize>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Where the files go, and what is said of them.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// Arguments of `gauges`.
#[derive(Debug, Args)]
pub struct GaugesArgs {
    /// A job whose angles, tolerance, blades and printer count
    #[arg(conflicts_with_all = ["angles", "tolerance", "thickness"])]
    pub job: Option<PathBuf>,
    /// Bevel angles, degrees, separated by commas
    #[arg(long, value_name = "DEGREES,…", allow_hyphen_values = true)]
    pub angles: Option<String>,
    /// How far off a bevel may be, ± degrees [default: 0.5]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub tolerance: Option<String>,
    /// Thickness of the blade, or of the thinnest and the thickest [default: 3 mm,4 mm]
    #[arg(long, value_name = "LENGTH,…", allow_hyphen_values = true)]
    pub thickness: Option<String>,
    /// To be cut in sheet metal and filed straight, which tells more than a print
    #[arg(long)]
    pub metal: bool,
    /// A cambered edge: the blade's width, and how far its corners lie behind the middle; once for each
    #[arg(long, value_name = "WIDTH,DEPTH", allow_hyphen_values = true)]
    pub camber: Vec<String>,
    /// A square, for blades as wide as this [default: 60 mm]
    #[arg(long, value_name = "WIDTH", num_args = 0..=1, require_equals = true, default_missing_value = "60 mm")]
    pub square: Option<String>,
    /// Paper of the sheets [default: A4; Letter with inches]
    #[arg(long, value_name = "SIZE", value_parser = words::page())]
    pub paper: Option<PaperSize>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Where the files go, and what is said of them.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// Arguments of `profiles`.
#[derive(Debug, Args)]
pub struct ProfilesArgs {
    /// Profile to print
    pub name: Option<String>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Print the list as JSON
    #[arg(long, conflicts_with = "name")]
    pub json: bool,
    /// Print the JSON Schema of a kind of file
    #[arg(long, value_name = "KIND", conflicts_with_all = ["name", "json"])]
    pub schema: Option<SchemaArg>,
}

/// Arguments of `kit`.
#[derive(Debug, Args)]
pub struct KitArgs {
    /// The kit file
    pub kit: PathBuf,
    /// Guide: a built-in one or the path of a profile
    #[arg(long)]
    pub guide: String,
    /// How far off an angle may be for a fence to be shared, ± degrees [default: the kit's, else 0.5]
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true)]
    pub tolerance: Option<String>,
    /// Height of the roller's track above the honing surface, negative when below it [default: 0]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub roller_level: Option<String>,
    /// Let blades of both seats share fences: fewer fences, but irons and chisels at one edge
    #[arg(long)]
    pub across_seats: bool,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Print JSON with full digits
    #[arg(long)]
    pub json: bool,
    /// Write a job that makes the block for the kit
    #[arg(long, value_name = "FILE")]
    pub job: Option<PathBuf>,
    /// Replace a file that the program did not write
    #[arg(long, short)]
    pub force: bool,
}

/// Arguments of `class`.
#[derive(Debug, Args)]
pub struct ClassArgs {
    /// A job with a kit
    pub job: PathBuf,
    /// The other guides, separated by commas: built-in ones or paths of your own
    #[arg(long, value_name = "GUIDE,…", value_delimiter = ',', required = true)]
    pub guides: Vec<String>,
    /// Most fences for one block; where the printer's bed is too small for them, they come as a set of blocks [default: 8]
    #[arg(long, value_name = "N", value_parser = whole_number)]
    pub fences: Option<NonZeroUsize>,
    /// How much of its diameter a roller loses each month [default: 0.02 mm, an assumption]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub wear: Option<String>,
    /// Day from which wear counts, such as 2026-03-09 [default: the job's date where it is written so, else today]
    #[arg(long, value_name = "DAY")]
    pub from: Option<String>,
    /// Paper of the lesson and the labels [default: A4; Letter with inches]
    #[arg(long, value_name = "SIZE", value_parser = words::page())]
    pub paper: Option<PaperSize>,
    /// Lengths.
    #[command(flatten)]
    pub lengths: UnitsArgs,
    /// Files and report.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// A kind of file.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum SchemaArg {
    /// Guide profile
    Guide,
    /// Tool class
    Tool,
    /// Job
    Job,
    /// Measurements of a finished block
    Measured,
    /// Corrections of fences
    Corrections,
    /// Known settings
    Fit,
    /// Measurements of the test piece
    Testpiece,
    /// The blades of a drawer
    Kit,
    /// Log of a kit
    Log,
}

impl UnitsArgs {
    /// The unit of bare numbers, and how lengths are shown, beside a file that is in `of_file`.
    pub fn beside(&self, of_file: Units) -> (Units, Written) {
        match self.units {
            None => (of_file, Written::of(of_file)),
            Some(lengths) => (lengths.bare(of_file), lengths.written(FINEST)),
        }
    }

    /// The same beside a guide, whose unit is not taken for that of bare numbers: those are in mm unless this says inches.
    pub fn for_guide(&self, of_guide: Units) -> (Units, Written) {
        (self.units.map_or(Units::Mm, |lengths| lengths.bare(Units::Mm)), self.beside(of_guide).1)
    }

    /// Has a job show its lengths so.
    pub fn show(&self, job: &mut Job) {
        if let Some(lengths) = self.units {
            job.show(lengths);
        }
    }
}

/// The finest fraction of an inch that rules are marked with.
const FINEST: u32 = 64;

impl FractionArgs {
    /// What is asked for.
    pub fn denominator(&self) -> Option<u32> {
        self.fraction.as_ref().and_then(|fraction| fraction.parse().ok())
    }

    /// Has a job show its fractions so.
    pub fn show(&self, job: &mut Job) {
        if let Some(denominator) = self.denominator() {
            job.show_fractions(denominator);
        }
    }
}

/// Reads a count of one or more.
fn whole_number(text: &str) -> Result<NonZeroUsize, String> {
    text.parse().map_err(|_| "a whole number from 1 up".into())
}
