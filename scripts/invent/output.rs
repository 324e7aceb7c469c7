//! Workers invent games in chunks; one writer puts the chunks back in order and compresses them.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use anyhow::{Context, Result};
use crossbeam_channel::bounded;

use crate::game::invent_chunk;
use crate::league::{CHUNK, League};
use crate::truth::Tally;

/// Writes the whole dump to `out` and returns what was drawn at the planted positions.
pub fn run(league: &League, out: &Path, level: i32, threads: usize) -> Result<Tally> {
    let context = || format!("cannot write {}", out.display());
    if out.as_os_str() == "-" {
        let mut sink = BufWriter::new(io::stdout().lock());
        let tally = invent(league, threads, &mut sink)?;
        sink.flush()?;
        return Ok(tally);
    }
    let file = File::create(out).with_context(context)?;
    if out.extension().is_some_and(|extension| extension == "zst") {
        let mut sink = zstd::Encoder::new(file, level)?;
        let tally = invent(league, threads, &mut sink).with_context(context)?;
        sink.finish().with_context(context)?;
        Ok(tally)
    } else {
        let mut sink = BufWriter::with_capacity(1 << 20, file);
        let tally = invent(league, threads, &mut sink).with_context(context)?;
        sink.flush().with_context(context)?;
        Ok(tally)
    }
}

fn invent(league: &League, threads: usize, sink: &mut impl Write) -> io::Result<Tally> {
    let chunks = league.games.div_ceil(CHUNK);
    let next = AtomicU64::new(0);
    let (send, receive) = bounded::<(u64, Vec<u8>, Tally)>(2 * threads);
    std::thread::scope(|scope| {
        for _ in 0..threads.max(1) {
            let (send, next) = (send.clone(), &next);
            scope.spawn(move || {
                loop {
                    let chunk = next.fetch_add(1, Ordering::Relaxed);
                    if chunk >= chunks {
                        break;
                    }
                    let (text, tally) = invent_chunk(league, chunk);
                    if send.send((chunk, text, tally)).is_err() {
                        break;
                    }
                }
            });
        }
        drop(send);
        let mut waiting = BTreeMap::new();
        let mut wanted = 0;
        let mut total = Tally::new(league.traps.len());
        for (chunk, text, tally) in receive {
            total.add(&tally);
            waiting.insert(chunk, text);
            while let Some(text) = waiting.remove(&wanted) {
                sink.write_all(&text)?;
                wanted += 1;
            }
        }
        Ok(total)
    })
}
