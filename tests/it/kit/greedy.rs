//! Dumps that leave a build no memory.

/// A zstd dump behind an empty frame that asks for a window of 144 MiB (RFC 8878, 3.1.1): with the
/// least memory nearly nothing is left for records, so that they go to disk early.
pub fn greedy(text: &str) -> Vec<u8> {
    let frame = [0x28, 0xb5, 0x2f, 0xfd, 0, 0x89, 1, 0, 0];
    [&frame[..], &zstd::encode_all(text.as_bytes(), 1).expect("memory takes it")].concat()
}
