//! A file that takes writes without being changed.

use std::collections::HashMap;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::sync::{Mutex, MutexGuard, PoisonError};

use redb::StorageBackend;

const BLOCK: u64 = 4096;

/// What redb's integrity check needs: it ends with a commit, which must not reach the store.
/// Written blocks stay in memory; there are few of them.
#[derive(Debug)]
pub(super) struct Overlay(Mutex<State>);

#[derive(Debug)]
struct State {
    file: File,
    /// How far the bytes of the file still hold.
    from_file: u64,
    length: u64,
    written: HashMap<u64, Box<[u8; BLOCK as usize]>>,
}

impl Overlay {
    pub(super) fn new(file: File) -> io::Result<Overlay> {
        let length = file.metadata()?.len();
        let state = State { file, from_file: length, length, written: HashMap::new() };
        Ok(Overlay(Mutex::new(state)))
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    /// Fills `out` from the file, with zeros behind its end.
    fn read_file(&mut self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        let held = self.from_file.saturating_sub(offset).min(out.len() as u64) as usize;
        let (head, rest) = out.split_at_mut(held);
        rest.fill(0);
        self.file.seek(SeekFrom::Start(offset))?;
        self.file.read_exact(head)
    }
}

/// The blocks that a range of bytes touches: block, start within it, start within the
/// range, length.
fn pieces(offset: u64, length: usize) -> impl Iterator<Item = (u64, usize, usize, usize)> {
    let mut done = 0;
    std::iter::from_fn(move || {
        let at = offset + done as u64;
        let start = (at % BLOCK) as usize;
        let size = (BLOCK as usize - start).min(length - done);
        let piece = (at / BLOCK, start, done, size);
        done += size;
        (size > 0).then_some(piece)
    })
}

impl StorageBackend for Overlay {
    fn len(&self) -> io::Result<u64> {
        Ok(self.state().length)
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        let mut state = self.state();
        if offset.checked_add(out.len() as u64).is_none_or(|end| end > state.length) {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        state.read_file(offset, out)?;
        for (block, start, place, size) in pieces(offset, out.len()) {
            if let Some(bytes) = state.written.get(&block) {
                out[place..place + size].copy_from_slice(&bytes[start..start + size]);
            }
        }
        Ok(())
    }

    fn set_len(&self, length: u64) -> io::Result<()> {
        let mut state = self.state();
        if length < state.length {
            state.from_file = state.from_file.min(length);
            state.written.retain(|block, _| block * BLOCK < length);
            if let Some(bytes) = state.written.get_mut(&(length / BLOCK)) {
                bytes[(length % BLOCK) as usize..].fill(0);
            }
        }
        state.length = length;
        Ok(())
    }

    fn sync_data(&self) -> io::Result<()> {
        Ok(())
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        let mut state = self.state();
        for (block, start, place, size) in pieces(offset, data.len()) {
            if !state.written.contains_key(&block) {
                let mut bytes = Box::new([0; BLOCK as usize]);
                state.read_file(block * BLOCK, &mut bytes[..])?;
                state.written.insert(block, bytes);
            }
            let bytes = state.written.get_mut(&block).expect("put there if it was missing");
            bytes[start..start + size].copy_from_slice(&data[place..place + size]);
        }
        state.length = state.length.max(offset + data.len() as u64);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn writes_are_read_back_and_the_file_stays() {
        let mut file = tempfile::NamedTempFile::new().expect("a file");
        file.write_all(&[7; 5000]).expect("written");
        let overlay = Overlay::new(File::open(file.path()).expect("opened")).expect("a length");
        overlay.set_len(9000).expect("longer");
        overlay.write(4090, &[1; 4200]).expect("written");
        let mut bytes = vec![9; 9000];
        overlay.read(0, &mut bytes).expect("read");
        let expected = [vec![7; 4090], vec![1; 4200], vec![0; 710]].concat();
        assert_eq!(bytes, expected);
        overlay.set_len(4100).expect("shorter");
        overlay.set_len(4200).expect("longer");
        overlay.read(4080, &mut bytes[..120]).expect("read");
        assert_eq!(bytes[..120], [vec![7; 10], vec![1; 10], vec![0; 100]].concat());
        assert!(overlay.read(4200, &mut bytes[..1]).is_err());
        assert_eq!(std::fs::read(file.path()).expect("the file"), [7; 5000]);
    }
}
