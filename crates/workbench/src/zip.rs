//! Several files as one, stored without packing: PDFs are packed already.

use std::io::{Cursor, Write as _};

use zip::result::ZipResult;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// The archive with these files. Names are ours: plain, and without folders. All files bear the first day that the format
/// knows, so that the same papers give the same bytes.
///
/// # Errors
/// Where two files have one name, or what is written is too large for the format.
pub fn archive(files: &[(String, &[u8])]) -> ZipResult<Vec<u8>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .last_modified_time(DateTime::default());
    let mut out = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        out.start_file(name.as_str(), options)?;
        out.write_all(bytes)?;
    }
    Ok(out.finish()?.into_inner())
}

#[cfg(test)]
mod tests {
    use std::io::Read as _;

    use super::*;

    #[test]
    fn what_goes_in_comes_out_and_the_bytes_are_always_the_same() {
        let files = [("a.pdf".to_owned(), &b"one"[..]), ("b.csv".to_owned(), &b"two"[..])];
        let bytes = archive(&files).expect("an archive");
        assert_eq!(bytes, archive(&files).expect("an archive"));
        let mut read = zip::ZipArchive::new(Cursor::new(bytes)).expect("it opens");
        for (name, wanted) in files {
            let mut found = Vec::new();
            read.by_name(&name).expect("it is there").read_to_end(&mut found).expect("it is whole");
            assert_eq!(found, wanted);
        }
    }
}
