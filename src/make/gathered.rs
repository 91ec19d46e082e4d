//! The files of a job as they come: what nothing of the flow reads any more is handed on at once, so that of a large job
//! not all files are held until the last is made.

use std::collections::HashMap;

use super::index::EMBEDDED;
use crate::format::{Artifact, svg};
use crate::stages::Stages;

/// The files so far.
pub(super) struct Gathered<'a> {
    stages: &'a dyn Stages,
    files: Vec<Artifact>,
    /// What pictures say of themselves whose bytes were handed on, by their names.
    about: HashMap<String, svg::About>,
    /// Bytes of all pictures.
    pictures: usize,
}

impl<'a> Gathered<'a> {
    /// None yet; `stages` is given what need not wait.
    pub fn new(stages: &'a dyn Stages) -> Self {
        Self { stages, files: Vec::new(), about: HashMap::new(), pictures: 0 }
    }

    /// Adds files after the others.
    pub fn add(&mut self, files: impl IntoIterator<Item = Artifact>) {
        let before = self.files.len();
        self.insert(before, files);
    }

    /// Adds files before the one at `place`.
    pub fn insert(&mut self, place: usize, files: impl IntoIterator<Item = Artifact>) {
        let had_room = self.has_room();
        let files: Vec<Artifact> = files.into_iter().collect();
        let new = place..place + files.len();
        self.pictures += files.iter().filter(|file| is_picture(file)).map(|file| file.bytes.len()).sum::<usize>();
        self.files.splice(place..place, files);
        for file in self.files[new.clone()].iter_mut().filter(|file| !is_picture(file)) {
            self.stages.file(file);
        }
        if self.has_room() {
            return;
        }
        // As the page does not take the pictures, those that waited for it need not any longer.
        let free = if had_room { &mut self.files[..] } else { &mut self.files[new] };
        for file in free.iter_mut().filter(|file| is_picture(file)) {
            self.about.extend(svg::about(&file.bytes).map(|about| (file.name.clone(), about)));
            self.stages.file(file);
        }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.files.len()
    }

    /// The files.
    pub fn files(&self) -> &[Artifact] {
        &self.files
    }

    /// Whether the page of the files takes all pictures.
    pub fn has_room(&self) -> bool {
        self.pictures <= EMBEDDED
    }

    /// What a picture says of itself.
    pub fn about(&self, file: &Artifact) -> Option<svg::About> {
        self.about.get(&file.name).cloned().or_else(|| svg::about(&file.bytes))
    }

    /// All of them, with the page last.
    pub fn finished(mut self, page: Option<Artifact>) -> Vec<Artifact> {
        self.files.extend(page);
        self.files
    }
}

/// Whether a file is shown on the page.
pub(super) fn is_picture(artifact: &Artifact) -> bool {
    artifact.name.ends_with(".svg")
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;

    use super::*;

    /// Takes all bytes that it is given.
    #[derive(Default)]
    struct Taker(Mutex<Vec<String>>);

    impl Taker {
        fn taken(&self) -> Vec<String> {
            std::mem::take(&mut self.0.lock().expect("nobody else"))
        }
    }

    impl Stages for Taker {
        fn begin(&self) {}

        fn end(&self, _: &'static str) {}

        fn file(&self, artifact: &mut Artifact) {
            artifact.bytes.clear();
            self.0.lock().expect("nobody else").push(artifact.name.clone());
        }
    }

    fn picture(name: &str, size: usize) -> Artifact {
        let mut bytes = format!("<svg width=\"10mm\" height=\"20mm\"><title>{name}</title>").into_bytes();
        bytes.resize(size, b' ');
        Artifact { name: name.into(), what: "a picture".into(), bytes }
    }

    #[test]
    fn pictures_wait_for_the_page_as_long_as_it_takes_them() {
        let taker = Taker::default();
        let mut gathered = Gathered::new(&taker);
        gathered.add([picture("a.svg", EMBEDDED - 1000), Artifact { name: "b.pdf".into(), ..picture("", 100) }]);
        assert_eq!(taker.taken(), ["b.pdf"]);
        gathered.insert(1, [picture("c.svg", 1000)]);
        assert!(gathered.has_room() && taker.taken().is_empty());
        gathered.add([picture("d.svg", 100)]);
        assert!(!gathered.has_room());
        assert_eq!(taker.taken(), ["a.svg", "c.svg", "d.svg"]);
        gathered.add([picture("e.svg", 100)]);
        assert_eq!(taker.taken(), ["e.svg"]);
        let titles: Vec<Option<String>> =
            gathered.files().iter().map(|file| gathered.about(file).map(|about| about.title)).collect();
        let said = |name: &str| Some(name.to_string());
        assert_eq!(titles, [said("a.svg"), said("c.svg"), None, said("d.svg"), said("e.svg")]);
        let names: Vec<String> = gathered.finished(Some(picture("page", 100))).into_iter().map(|f| f.name).collect();
        assert_eq!(names, ["a.svg", "c.svg", "b.pdf", "d.svg", "e.svg", "page"]);
    }
}
