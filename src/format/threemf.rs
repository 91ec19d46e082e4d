//! 3MF from meshes (core specification), through the `lib3mf` crate: named objects on one bed, in mm.
//!
//! Metadata has only names that the specification knows (its table 3-1); all others would need a namespace of our own
//! that no reader knows. There is no date in the file: the same parts give the same bytes.

use std::error::Error;
use std::io::Cursor;

use lib3mf::model::{BuildItem, MetadataEntry, Model, Object};
use lib3mf::{Mesh as Triangles, Triangle, Vertex};

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

/// Why there is no 3MF.
#[derive(Debug, thiserror::Error)]
#[error("the 3MF was refused")]
pub struct Not3mf(#[source] Box<dyn Error + Send + Sync>);

/// The parts as one 3MF file.
///
/// # Errors
/// [`Not3mf`], should the library refuse them.
pub fn write(parts: &[Part], about: &About) -> Result<Vec<u8>, Not3mf> {
    let mut model = Model::new();
    let says = |name: &str, value: &str| MetadataEntry::new(name.into(), plain(value));
    model.metadata =
        vec![says("Title", about.title), says("Application", MADE), says("Description", about.description)];
    for (id, part) in (1..).zip(parts) {
        let mut object = Object::new(id);
        object.name = Some(plain(part.name));
        object.mesh = Some(triangles(part.mesh));
        model.resources.objects.push(object);
        let mut item = BuildItem::new(id);
        let [x, y, z] = part.place;
        item.transform = Some([1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, x, y, z]);
        model.build.items.push(item);
    }
    let written = model.to_writer(Cursor::new(Vec::new())).map_err(|cause| Not3mf(cause.into()))?;
    Ok(written.into_inner())
}

fn triangles(mesh: &Mesh) -> Triangles {
    let mut out = Triangles::with_capacity(mesh.corners.len(), mesh.triangles.len());
    out.vertices.extend(mesh.corners.iter().map(|[x, y, z]| Vertex::new(*x, *y, *z)));
    out.triangles.extend(mesh.triangles.iter().map(|t| t.map(|i| i as usize)).map(|[a, b, c]| Triangle::new(a, b, c)));
    out
}

/// Words without the characters that XML cannot hold.
fn plain(words: &str) -> String {
    words.chars().map(|c| if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
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
