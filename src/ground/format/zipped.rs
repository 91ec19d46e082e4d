//! Several files as one ZIP, with a date that is nobody's, so that the same files make the same bytes.

use std::io::{Cursor, Write};

use zip::result::ZipResult;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// The files in their order; `level` says how hard they are packed, 1 to 9, `None` as is usual.
///
/// # Errors
/// Those of the packer, such as a name that comes twice.
pub fn write<'a>(files: impl IntoIterator<Item = (&'a str, &'a [u8])>, level: Option<i64>) -> ZipResult<Vec<u8>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .compression_level(level)
        .last_modified_time(DateTime::DEFAULT);
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(name, options)?;
        zip.write_all(bytes)?;
    }
    Ok(zip.finish()?.into_inner())
}
