//! The bytes of an answer, as they are gathered.

use kurbo::Rect;

use super::reply::{Part, Picture};
use crate::drawing::Group;
use crate::format::{Artifact, svg};

/// Parts as they are gathered.
#[derive(Debug, Default)]
pub(super) struct Parts(pub Vec<Part>);

impl Parts {
    /// Adds bytes and gives their place.
    pub(super) fn add(&mut self, name: &str, media: &'static str, bytes: Vec<u8>) -> usize {
        self.0.push(Part { name: name.to_string(), media, bytes });
        self.0.len() - 1
    }

    /// Adds a picture of what is drawn within `area`.
    pub(super) fn picture(&mut self, name: &str, title: &str, groups: &[Group], area: Rect) -> Picture {
        // Room for half a line around what is drawn.
        let area = area.inset(AROUND);
        let part = self.add(name, "image/svg+xml", svg::write_alone(title, groups, area));
        Picture { title: title.to_string(), part, size: [area.width(), area.height()] }
    }

    /// Adds a file.
    pub(super) fn file(&mut self, file: Artifact) -> usize {
        let media = media_of(&file.name);
        self.add(&file.name, media, file.bytes)
    }
}

/// Space around a picture, mm.
const AROUND: f64 = 1.0;

/// The media type of a file by its ending.
fn media_of(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "pdf" => "application/pdf",
        "json" => "application/json",
        "html" => "text/html",
        "stl" => "model/stl",
        "3mf" => "model/3mf",
        "step" => "model/step",
        "dxf" => "image/vnd.dxf",
        "csv" => "text/csv",
        "zip" => "application/zip",
        _ => "application/octet-stream",
    }
}
