//! Several files as one, stored without packing (PDFs are packed already). After the ZIP file format
//! specification (APPNOTE 6.3.10), sections 4.3.7, 4.3.12 and 4.3.16.

/// The archive with these files. Names are ours: plain, and without folders.
pub(crate) fn archive(files: &[(String, &[u8])]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut directory = Vec::new();
    for (name, bytes) in files {
        let offset = size(out.len());
        let common = |out: &mut Vec<u8>| {
            put16(out, 20); // version needed: 2.0
            put16(out, 0x0800); // names are UTF-8
            put16(out, 0); // stored
            put16(out, 0); // time
            put16(out, 0x0021); // date: 1 January 1980, so that the same papers give the same bytes
            put32(out, crc32(bytes));
            put32(out, size(bytes.len()));
            put32(out, size(bytes.len()));
            put16(out, u16::try_from(name.len()).unwrap_or(u16::MAX));
            put16(out, 0);
        };
        put32(&mut out, 0x0403_4b50);
        common(&mut out);
        out.extend_from_slice(name.as_bytes());
        out.extend_from_slice(bytes);
        put32(&mut directory, 0x0201_4b50);
        put16(&mut directory, 20);
        common(&mut directory);
        put16(&mut directory, 0); // comment
        put16(&mut directory, 0); // disk
        put16(&mut directory, 0); // attributes inside
        put32(&mut directory, 0); // attributes outside
        put32(&mut directory, offset);
        directory.extend_from_slice(name.as_bytes());
    }
    let (start, long) = (size(out.len()), size(directory.len()));
    out.extend_from_slice(&directory);
    put32(&mut out, 0x0605_4b50);
    put16(&mut out, 0);
    put16(&mut out, 0);
    let count = u16::try_from(files.len()).unwrap_or(u16::MAX);
    put16(&mut out, count);
    put16(&mut out, count);
    put32(&mut out, long);
    put32(&mut out, start);
    put16(&mut out, 0);
    out
}

fn size(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}

fn put16(out: &mut Vec<u8>, value: u16) {
    out.extend_from_slice(&value.to_le_bytes());
}

fn put32(out: &mut Vec<u8>, value: u32) {
    out.extend_from_slice(&value.to_le_bytes());
}

/// The check sum of ISO 3309, bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(
            sum ^ u32::from(*byte),
            |sum, _| {
                if sum & 1 == 1 { (sum >> 1) ^ 0xEDB8_8320 } else { sum >> 1 }
            },
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_sum_is_the_published_one() {
        assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
    }

    #[test]
    fn an_archive_ends_with_its_directory() {
        let bytes = archive(&[("a.pdf".into(), b"one"), ("b.pdf".into(), b"two")]);
        assert_eq!(&bytes[..4], b"PK\x03\x04");
        assert_eq!(&bytes[bytes.len() - 22..bytes.len() - 18], b"PK\x05\x06");
    }
}
