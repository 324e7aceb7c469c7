//! Texts in the formats of dumps.

use std::io::Write;

pub fn gzip(text: &[u8]) -> Vec<u8> {
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    gzip.write_all(text).expect("memory takes it");
    gzip.finish().expect("memory takes it")
}

pub fn bzip2(text: &[u8]) -> Vec<u8> {
    let mut bzip2 = bzip2::write::BzEncoder::new(Vec::new(), bzip2::Compression::fast());
    bzip2.write_all(text).expect("memory takes it");
    bzip2.finish().expect("memory takes it")
}
