//! 3MF from meshes (core specification 1.2.3): named objects on one bed, in mm.
//!
//! The three parts of the package are written here and packed through the `zip` crate: a model is two lists of numbers, and
//! libraries that know all extensions take longer to write it, and to be built, than everything else of a block. Metadata
//! has only names that the specification knows (its table 3-1); all others would need a namespace of our own that no reader
//! knows. There is no date in the file: the same parts give the same bytes.
//!
//! (Names of parts, elements and namespaces from memory of the specification and of OPC, ECMA-376 part 2; the tests read
//! the file back with a library, `tests/oracles` with two more.)

use super::{number, xml, zipped};
use crate::drawing::frame::MADE;
use crate::solid::mesh::Mesh;

/// An object and where it lies.
#[derive(Debug, Clone, Copy)]
pub struct Part<'a> {
    /// What it is called.
    pub name: &'a str,
    /// Its mesh, closed and looking outward.
    pub mesh: &'a Mesh,
    /// Where the origin of the mesh goes on the bed, mm: the bed's near left corner is the origin.
    pub place: [f64; 3],
}

/// What the file says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct About<'a> {
    /// Its title.
    pub title: &'a str,
    /// What it is, in sentences: the guide, and the lanes with their numbers.
    pub description: &'a str,
}

/// Why there is no 3MF: a fault of the program.
#[derive(Debug, thiserror::Error)]
#[error("the 3MF was refused")]
pub struct Not3mf(#[from] zip::result::ZipError);

/// What the parts of a package are, by the ends of their names.
const TYPES: &str = concat!(
    r#"<?xml version="1.0" encoding="UTF-8"?>"#,
    r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">"#,
    r#"<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>"#,
    r#"<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>"#,
    "</Types>"
);
/// Which part is the model.
const RELATIONS: &str = concat!(
    r#"<?xml version="1.0" encoding="UTF-8"?>"#,
    r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">"#,
    r#"<Relationship Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" "#,
    r#"Target="/3D/3dmodel.model"/></Relationships>"#
);
/// How hard a model is packed: harder ways take several times as long to save a few hundredths.
const LEVEL: i64 = 3;

/// The parts as one 3MF file.
///
/// # Errors
/// [`Not3mf`], should the packer refuse them.
pub fn write(parts: &[Part], about: &About) -> Result<Vec<u8>, Not3mf> {
    let model = model(parts, about);
    let files = [("[Content_Types].xml", TYPES), ("_rels/.rels", RELATIONS), ("3D/3dmodel.model", &model)];
    Ok(zipped::write(files.map(|(name, text)| (name, text.as_bytes())), Some(LEVEL))?)
}

/// The part that holds everything.
fn model(parts: &[Part], about: &About) -> String {
    let numbers: usize = parts.iter().map(|part| part.mesh.corners.len() + part.mesh.triangles.len()).sum();
    let mut text = String::with_capacity(2000 + 45 * numbers);
    text += concat!(
        r#"<?xml version="1.0" encoding="UTF-8"?>"#,
        "\n",
        r#"<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">"#,
        "\n"
    );
    for (name, value) in [("Title", about.title), ("Application", MADE), ("Description", about.description)] {
        text += &format!("<metadata name=\"{name}\">{}</metadata>\n", xml::escaped(&plain(value)));
    }
    text += "<resources>\n";
    for (id, part) in (1..).zip(parts) {
        text += &format!("<object id=\"{id}\" type=\"model\" name=\"{}\">\n", xml::escaped(&plain(part.name)));
        mesh(&mut text, part.mesh);
        text += "</object>\n";
    }
    text += "</resources>\n<build>\n";
    for (id, part) in (1..).zip(parts) {
        let [x, y, z] = part.place;
        // A matrix that only moves, row by row.
        text += &format!("<item objectid=\"{id}\" transform=\"1 0 0 0 1 0 0 0 1 {x} {y} {z}\"/>\n");
    }
    text += "</build>\n</model>\n";
    text
}

fn mesh(text: &mut String, mesh: &Mesh) {
    *text += "<mesh>\n<vertices>\n";
    for corner in &mesh.corners {
        *text += "<vertex";
        for (name, value) in [" x=\"", "\" y=\"", "\" z=\""].into_iter().zip(corner) {
            *text += name;
            number::plain(text, *value);
        }
        *text += "\"/>\n";
    }
    *text += "</vertices>\n<triangles>\n";
    for triangle in &mesh.triangles {
        *text += "<triangle";
        for (name, corner) in [" v1=\"", "\" v2=\"", "\" v3=\""].into_iter().zip(triangle) {
            *text += name;
            number::whole(text, *corner as usize);
        }
        *text += "\"/>\n";
    }
    *text += "</triangles>\n</mesh>\n";
}

/// Words without the characters that XML cannot hold.
fn plain(words: &str) -> String {
    words.chars().map(|c| if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use lib3mf::Model;
    use lib3mf::opc::Package;

    use super::*;

    fn tetrahedron() -> Mesh {
        let corners = vec![[0.0, 0.0, 0.0], [10.125, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 0.001]];
        Mesh { corners, triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]] }
    }

    const ABOUT: About = About { title: "<A & \"B\"> für 30°", description: "Two\nparts" };

    fn file() -> Vec<u8> {
        let mesh = tetrahedron();
        let part = Part { name: "block <1> & \"é\"", mesh: &mesh, place: [0.0; 3] };
        write(&[part, Part { name: "cleat", place: [120.5, 10.0, 0.0], ..part }], &ABOUT).expect("a file")
    }

    #[test]
    fn objects_and_metadata_are_read_back_as_they_were() {
        let model = Model::from_reader(Cursor::new(file())).expect("sound");
        assert_eq!(model.unit, "millimeter");
        assert_eq!(model.get_metadata("Description"), Some("Two parts"));
        // The library's own reader leaves attributes escaped.
        let names: Vec<_> = model.resources.objects.iter().map(|o| o.name.as_deref()).collect();
        assert_eq!(names, [Some("block &lt;1&gt; &amp; &quot;é&quot;"), Some("cleat")]);
        let mesh = model.resources.objects[0].mesh.as_ref().expect("a mesh");
        assert_eq!(mesh.vertices.iter().map(|v| [v.x, v.y, v.z]).collect::<Vec<_>>(), tetrahedron().corners);
        assert_eq!(mesh.triangles.iter().map(|t| [t.v1, t.v2, t.v3]).collect::<Vec<_>>()[2], [1, 2, 3]);
        assert_eq!(model.build.items.len(), 2);
        // The last four numbers of the specification's matrix (3.3) move the object.
        assert_eq!(model.build.items[1].transform.expect("a place")[9..], [120.5, 10.0, 0.0]);
    }

    #[test]
    fn the_model_has_names_of_the_specification_only_and_is_escaped() {
        let mut package = Package::open(Cursor::new(file())).expect("a package");
        let model = package.get_model().expect("a model");
        // 3MF core specification, 3.4.1, table 3-1.
        let known = ["Title", "Designer", "Description", "Copyright", "LicenseTerms", "Rating", "Application"];
        let names: Vec<&str> =
            model.split("<metadata name=\"").skip(1).filter_map(|s| s.split_once('"').map(|(name, _)| name)).collect();
        assert_eq!(names.len(), 3);
        assert!(names.iter().all(|n| known.contains(n)), "{names:?}");
        // The library's own reader stops at the first escaped sign of a text, so the title is looked at as written.
        let title = model.split_once("name=\"Title\">").and_then(|(_, rest)| rest.split_once("</metadata>"));
        let plain = title.map(|(t, _)| t.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">"));
        assert_eq!(plain.map(|t| t.replace("&amp;", "&")).as_deref(), Some(ABOUT.title));
        assert!(model.contains("unit=\"millimeter\""));
    }

    #[test]
    fn the_same_parts_give_the_same_bytes() {
        assert_eq!(file(), file());
    }
}
