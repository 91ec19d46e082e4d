//! STEP from closed shells, for CAD programs: application protocol 214, flat faces and straight edges, in mm.
//!
//! The entities are written here, from truck's shell by numbers. truck's own writer repeats every point, direction and
//! axis wherever one is used, which makes a lettered block's file three times as long and as slow to write and to read;
//! its header is refused by readers. Here places and directions that are equal are one entity, and edges share the
//! points of their corners. The file bears a fixed date: the same block gives the same bytes.
//!
//! (Entities and their attributes from memory of ISO 10303-21, -42 and -214; `tests/oracles` has an independent kernel
//! read them.)

use std::fmt::{Arguments, Write};

use foldhash::{HashMap, HashMapExt};
use truck_modeling::{Curve, InnerSpace, Point3, Surface, Vector3};
use truck_topology::compress::{CompressedEdge, CompressedFace};

use super::number;
use crate::drawing::frame::MADE;
use crate::solid::shell::Shell;

/// When files say that they were written.
const DATE: &str = "2000-01-01T00:00:00";
/// How near points must be to be one, mm: far less than the grid of 1 µm that corners lie on.
const UNCERTAINTY: &str = "1.E-6";
/// Decimals of a number below a thousandth.
const DECIMALS: usize = 22;

/// A closed shell that bounds a solid.
#[derive(Debug, Clone, Copy)]
pub struct Part<'a> {
    /// What it is called.
    pub name: &'a str,
    /// Its shell, faces outward.
    pub shell: &'a Shell,
    /// Where the origin of the shell goes, mm.
    pub place: [f64; 3],
}

impl Part<'_> {
    /// Bytes that its entities take, and some to spare: a text that grows is copied each time.
    fn room(&self) -> usize {
        let Shell { vertices, edges, faces } = self.shell;
        4096 + 90 * vertices.len() + 200 * edges.len() + 200 * faces.len()
    }
}

/// Why there is no STEP file. These are faults of the program, not of the user.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotStep {
    /// A face is not flat or an edge not straight.
    #[error("a face or an edge is curved")]
    Curved,
}

/// The parts as the products of one file, which says of itself that it is called `title`.
///
/// # Errors
/// [`NotStep`].
pub fn write(parts: &[Part], title: &str) -> Result<Vec<u8>, NotStep> {
    let mut file = File { text: String::with_capacity(parts.iter().map(Part::room).sum()), next: 1 };
    file.text += "ISO-10303-21;\nHEADER;\n";
    file.line(format_args!("FILE_DESCRIPTION(({}),'2;1')", quoted(title)));
    file.line(format_args!("FILE_NAME({},'{DATE}',(''),(''),'{MADE}','Stopwright','')", quoted(title)));
    file.line(format_args!("FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'))"));
    file.text += "ENDSEC;\nDATA;\n";
    let context = Context::new(&mut file);
    for part in parts {
        product(&mut file, &context, part)?;
    }
    file.text += "ENDSEC;\nEND-ISO-10303-21;\n";
    Ok(file.text.into_bytes())
}

/// The name of an entity: its number.
type Id = usize;

/// Entities, each with the next number.
struct File {
    text: String,
    next: Id,
}

impl File {
    fn line(&mut self, words: Arguments) {
        // Writing to a string does not fail.
        let _ = self.text.write_fmt(words);
        self.text += ";\n";
    }

    fn add(&mut self, entity: Arguments) -> Id {
        let id = self.next;
        self.next += 1;
        self.line(format_args!("#{id}={entity}"));
        id
    }

    /// An entity of the kind of which there are thousands, from its parts.
    fn add_parts(&mut self, parts: &[Piece]) -> Id {
        let id = self.next;
        self.next += 1;
        self.text.push('#');
        number::whole(&mut self.text, id);
        self.text.push('=');
        parts.iter().for_each(|part| part.write(&mut self.text));
        self.text += ";\n";
        id
    }
}

/// A part of an entity.
#[derive(Clone, Copy)]
enum Piece<'a> {
    Words(&'a str),
    /// The name of another entity.
    Name(Id),
    /// Their names, one after the other.
    Names(&'a [Id]),
    /// Three numbers.
    Numbers([f64; 3]),
}
use Piece::{Name, Names, Numbers, Words};

impl Piece<'_> {
    fn write(&self, text: &mut String) {
        let name = |text: &mut String, id| {
            text.push('#');
            number::whole(text, id);
        };
        match self {
            Words(words) => text.push_str(words),
            Name(id) => name(text, *id),
            Names(ids) => {
                for (i, id) in ids.iter().enumerate() {
                    if i > 0 {
                        text.push(',');
                    }
                    name(text, *id);
                }
            }
            Numbers(numbers) => {
                for (i, value) in numbers.iter().enumerate() {
                    if i > 0 {
                        text.push(',');
                    }
                    real(text, *value);
                }
            }
        }
    }
}

/// What all products share.
struct Context {
    /// Contexts of products, of their definitions, of their geometry.
    product: Id,
    definition: Id,
    geometry: Id,
}

impl Context {
    fn new(file: &mut File) -> Self {
        let application =
            file.add(format_args!("APPLICATION_CONTEXT('core data for automotive mechanical design processes')"));
        file.add(format_args!(
            "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,#{application})"
        ));
        let product = file.add(format_args!("PRODUCT_CONTEXT('',#{application},'mechanical')"));
        let definition =
            file.add(format_args!("PRODUCT_DEFINITION_CONTEXT('part definition',#{application},'design')"));
        let length = file.add(format_args!("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))"));
        let angle = file.add(format_args!("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))"));
        let solid_angle = file.add(format_args!("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())"));
        let near = file.add(format_args!(
            "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({UNCERTAINTY}),#{length},'distance_accuracy_value','')"
        ));
        let geometry = file.add(format_args!(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#{near}))\
             GLOBAL_UNIT_ASSIGNED_CONTEXT((#{length},#{angle},#{solid_angle}))REPRESENTATION_CONTEXT('','3D'))"
        ));
        Self { product, definition, geometry }
    }
}

fn product(file: &mut File, context: &Context, part: &Part) -> Result<(), NotStep> {
    let name = quoted(part.name);
    let Context { product, definition, geometry } = context;
    let product = file.add(format_args!("PRODUCT({name},{name},'',(#{product}))"));
    file.add(format_args!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#{product}))"));
    let formation = file.add(format_args!("PRODUCT_DEFINITION_FORMATION('','',#{product})"));
    let definition = file.add(format_args!("PRODUCT_DEFINITION('design','',#{formation},#{definition})"));
    let shape = file.add(format_args!("PRODUCT_DEFINITION_SHAPE('','',#{definition})"));
    let shell = Geometry::new(file, part.shell, part.place).shell()?;
    let solid = file.add(format_args!("MANIFOLD_SOLID_BREP({name},#{shell})"));
    let brep = file.add(format_args!("ADVANCED_BREP_SHAPE_REPRESENTATION({name},(#{solid}),#{geometry})"));
    file.add(format_args!("SHAPE_DEFINITION_REPRESENTATION(#{shape},#{brep})"));
    Ok(())
}

/// The entities of one shell, made once each.
struct Geometry<'a> {
    file: &'a mut File,
    shell: &'a Shell,
    /// The points of the shell's vertices, and the vertices.
    points: Vec<Id>,
    vertices: Vec<Id>,
    edges: Vec<Id>,
    /// By the bits of their components.
    directions: HashMap<[u64; 3], Id>,
    /// By their directions.
    vectors: HashMap<Id, Id>,
}

impl<'a> Geometry<'a> {
    fn new(file: &'a mut File, shell: &'a Shell, place: [f64; 3]) -> Self {
        let point = |p: &Point3| {
            let at = [p.x + place[0], p.y + place[1], p.z + place[2]];
            file.add_parts(&[Words("CARTESIAN_POINT('',("), Numbers(at), Words("))")])
        };
        let points: Vec<Id> = shell.vertices.iter().map(point).collect();
        let vertices =
            points.iter().map(|p| file.add_parts(&[Words("VERTEX_POINT('',"), Name(*p), Words(")")])).collect();
        let (edges, directions, vectors) = (Vec::new(), HashMap::new(), HashMap::new());
        Self { file, shell, points, vertices, edges, directions, vectors }
    }

    fn shell(mut self) -> Result<Id, NotStep> {
        let shell = self.shell;
        for edge in &shell.edges {
            let id = self.edge(edge)?;
            self.edges.push(id);
        }
        let faces = shell.faces.iter().map(|f| self.face(f)).collect::<Result<Vec<Id>, NotStep>>()?;
        Ok(self.file.add_parts(&[Words("CLOSED_SHELL('',("), Names(&faces), Words("))")]))
    }

    fn edge(&mut self, edge: &CompressedEdge<Curve>) -> Result<Id, NotStep> {
        let Curve::Line(line) = &edge.curve else { return Err(NotStep::Curved) };
        let direction = self.direction((line.1 - line.0).normalize());
        let file = &mut *self.file;
        let write = || file.add_parts(&[Words("VECTOR('',"), Name(direction), Words(",1.)")]);
        let vector = *self.vectors.entry(direction).or_insert_with(write);
        let (from, to) = edge.vertices;
        let line = [Words("LINE('',"), Name(self.points[from]), Words(","), Name(vector), Words(")")];
        let line = self.file.add_parts(&line);
        let [from, to] = [from, to].map(|v| self.vertices[v]);
        Ok(self.file.add_parts(&[Words("EDGE_CURVE('',"), Names(&[from, to, line]), Words(",.T.)")]))
    }

    fn face(&mut self, face: &CompressedFace<Surface>) -> Result<Id, NotStep> {
        let Surface::Plane(plane) = &face.surface else { return Err(NotStep::Curved) };
        let turned = if face.orientation { ".T." } else { ".F." };
        let mut bounds = Vec::new();
        for boundary in &face.boundaries {
            let mut run = Vec::with_capacity(boundary.len());
            for side in boundary {
                let turned = if side.orientation { ",.T.)" } else { ",.F.)" };
                let edge = [Words("ORIENTED_EDGE('',*,*,"), Name(self.edges[side.index]), Words(turned)];
                run.push(self.file.add_parts(&edge));
            }
            let closed = self.file.add_parts(&[Words("EDGE_LOOP('',("), Names(&run), Words("))")]);
            let bound = [Words("FACE_BOUND('',"), Name(closed), Words(","), Words(turned), Words(")")];
            bounds.push(self.file.add_parts(&bound));
        }
        let plane = self.plane(plane.normal(), face)?;
        let [names, end] = [Words("ADVANCED_FACE('',("), Words("),")];
        Ok(self.file.add_parts(&[names, Names(&bounds), end, Name(plane), Words(","), Words(turned), Words(")")]))
    }

    /// The plane through a face, its origin one of the face's corners.
    fn plane(&mut self, normal: Vector3, face: &CompressedFace<Surface>) -> Result<Id, NotStep> {
        let corner = face.boundaries.first().and_then(|b| b.first()).ok_or(NotStep::Curved)?;
        let origin = self.points[self.shell.edges[corner.index].vertices.0];
        let across = if normal.z.abs() < 0.5 { Vector3::unit_z() } else { Vector3::unit_x() };
        let [normal, across] = [normal, across].map(|d| self.direction(d));
        let axes = [Words("AXIS2_PLACEMENT_3D('',"), Names(&[origin, normal, across]), Words(")")];
        let axes = self.file.add_parts(&axes);
        Ok(self.file.add_parts(&[Words("PLANE('',"), Name(axes), Words(")")]))
    }

    fn direction(&mut self, unit: Vector3) -> Id {
        // Plus zero turns a negative zero into a plain one.
        let parts = [unit.x, unit.y, unit.z].map(|v| v + 0.0);
        let file = &mut *self.file;
        let write = || file.add_parts(&[Words("DIRECTION('',("), Numbers(parts), Words("))")]);
        *self.directions.entry(parts.map(f64::to_bits)).or_insert_with(write)
    }
}

/// A number as the format wants it: with a point, and never as a bare power of ten.
fn real(text: &mut String, value: f64) {
    let from = text.len();
    if value == 0.0 || (1e-3..1e15).contains(&value.abs()) {
        number::plain(text, value);
    } else {
        *text += format!("{value:.DECIMALS$}").trim_end_matches('0');
    }
    if !text[from..].contains('.') {
        text.push('.');
    }
}

/// Words as a string of the format (ISO 10303-21, 6.3.3): apostrophes and backslashes doubled, what is not ASCII by its
/// number, control characters as spaces.
fn quoted(words: &str) -> String {
    let mut out = String::from("'");
    for c in words.chars() {
        match (c, u32::from(c)) {
            ('\'' | '\\', _) => out.extend([c, c]),
            (' '..='~', _) => out.push(c),
            _ if c.is_control() => out.push(' '),
            (_, code @ ..=0xffff) => out += &format!("\\X2\\{code:04X}\\X0\\"),
            (_, code) => out += &format!("\\X4\\{code:08X}\\X0\\"),
        }
    }
    out.push('\'');
    out
}

#[cfg(test)]
mod tests {
    use crate::solid::shell;
    use std::collections::BTreeMap;

    use super::*;
    use crate::shape::polygon::{Outline, reversed};

    use crate::shape::stack::Slab;
    use crate::shape::stack::Stack;

    fn rectangle([x0, x1]: [i32; 2], [y0, y1]: [i32; 2]) -> Outline {
        Outline::through([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    }

    /// A plate with a leaning edge and a slot, and a post on it, µm.
    fn shell() -> Shell {
        let plate = Outline::through([[0, 0], [40_000, 0], [41_234, 30_001], [0, 30_000]]);
        let slot = reversed(&rectangle([5_000, 9_000], [5_000, 20_000]));
        let post = vec![rectangle([20_000, 40_000], [0, 10_000])];
        let slabs = vec![Slab { z: [0, 6_000], region: vec![plate, slot] }, Slab { z: [6_000, 15_000], region: post }];
        shell::build(&Stack { slabs }).expect("a closed shell")
    }

    fn text(title: &str, name: &str) -> String {
        let shell = shell();
        let part = Part { name, shell: &shell, place: [0.0; 3] };
        String::from_utf8(write(&[part, Part { place: [100.0, 0.0, 0.0], ..part }], title).expect("a file"))
            .expect("UTF-8")
    }

    /// Entities by their numbers.
    fn entities(text: &str) -> BTreeMap<usize, &str> {
        let data = &text[text.find("DATA;\n").expect("data") + 6..text.find("ENDSEC;\nEND").expect("an end")];
        let entity = |line: &'_ str| -> (usize, usize) {
            let (id, _) = line[1..].split_once('=').expect("an entity");
            (id.parse().expect("a number"), id.len() + 2)
        };
        data.lines().map(|line| (entity(line).0, &line[entity(line).1..])).collect()
    }

    fn references(entity: &str) -> Vec<usize> {
        let digits = |s: &str| s.bytes().take_while(u8::is_ascii_digit).count();
        entity.split('#').skip(1).map(|s| s[..digits(s)].parse().expect("a number")).collect()
    }

    #[test]
    fn every_reference_leads_to_an_entity_and_every_entity_but_the_roots_is_used() {
        let text = text("A block", "block");
        let entities = entities(&text);
        assert_eq!(entities.len(), text.lines().filter(|l| l.starts_with('#')).count(), "a number twice");
        let used: Vec<usize> = entities.values().flat_map(|e| references(e)).collect();
        assert!(used.iter().all(|id| entities.contains_key(id)));
        let roots =
            ["SHAPE_DEFINITION_REPRESENTATION", "PRODUCT_RELATED_PRODUCT_CATEGORY", "APPLICATION_PROTOCOL_DEFINITION"];
        for (id, entity) in &entities {
            let is_root = roots.iter().any(|r| entity.starts_with(r));
            assert_eq!(used.contains(id), !is_root, "{entity}");
        }
    }

    #[test]
    fn the_file_is_of_the_protocol_in_mm_with_a_fixed_date() {
        let text = text("A block", "block");
        // ISO 10303-21 and -214: exchange structure, schema's name, SI prefix of the length.
        assert!(text.starts_with("ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('A block'),'2;1');\n"));
        assert!(text.ends_with("ENDSEC;\nEND-ISO-10303-21;\n"));
        assert!(text.contains("FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));"));
        assert!(text.contains("LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.)"));
        assert!(text.contains("FILE_NAME('A block','2000-01-01T00:00:00',(''),(''),'Stopwright "));
        assert_eq!(text.matches("=PRODUCT('block','block','',(#").count(), 2);
        assert_eq!(text.matches("=MANIFOLD_SOLID_BREP('block',#").count(), 2);
        assert_eq!(text, self::text("A block", "block"));
    }

    /// Euler's formula for a solid with one hole through it, and with the faces' inner outlines counted.
    #[test]
    fn vertices_edges_and_faces_are_those_of_the_solid() {
        let text = text("A block", "block");
        let count = |kind: &str| text.matches(&format!("={kind}(")).count() as i64 / 2;
        let [v, e, f] = ["VERTEX_POINT", "EDGE_CURVE", "ADVANCED_FACE"].map(count);
        let inner = count("FACE_BOUND") - f;
        assert_eq!(v - e + f - inner, 2 - 2, "{v} {e} {f} {inner}");
        assert_eq!(count("ORIENTED_EDGE"), 2 * e);
        // Equal places and directions are one entity.
        assert_eq!(count("CARTESIAN_POINT"), v);
        let directions: Vec<&str> = text.split("=DIRECTION(").skip(1).filter_map(|s| s.split(';').next()).collect();
        let mut once = directions.clone();
        once.sort_unstable();
        once.dedup();
        // Two products, each with its own.
        assert_eq!(directions.len(), 2 * once.len());
    }

    #[test]
    fn names_are_strings_of_the_format() {
        assert_eq!(quoted("it's a\\b <&\"\n"), "'it''s a\\\\b <&\" '");
        assert_eq!(quoted("30° é"), "'30\\X2\\00B0\\X0\\ \\X2\\00E9\\X0\\'");
        assert_eq!(quoted("\u{1f528}"), "'\\X4\\0001F528\\X0\\'");
    }

    #[test]
    fn numbers_are_reals_of_the_format() {
        let said = |v: f64| {
            let mut text = String::new();
            real(&mut text, v);
            text
        };
        assert_eq!(
            [said(0.0), said(-0.0), said(12.0), said(-0.001), said(12.345)],
            ["0.", "0.", "12.", "-0.001", "12.345"]
        );
        for v in [2.5e-6, -9.87654321e-5, 1.0 / 3.0, 1e-9_f64] {
            let text = said(v);
            assert!(text.contains('.') && !text.contains('e'), "{text}");
            assert!((text.parse::<f64>().expect("a number") - v).abs() <= 1e-16 * v.abs().max(1e-4), "{text}");
        }
    }
}
