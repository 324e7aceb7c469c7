//! Faults that were tried, how often, and what came of it; and some that no other file tries.
//!
//! | fault | tries in the tests | outcome | where |
//! | --- | --- | --- | --- |
//! | a compressed dump is cut off | 200 places at random, and each end of a frame | refused with the byte; counted between frames | `damage` |
//! | a plain dump is cut off | 200 places | the game that is cut is left out, those before it count | `damage` |
//! | a bit of a dump is flipped | 200 | refused, or one game is left out | `damage` |
//! | a bit of a store is flipped | 300 times four commands; 60 builds that add | an error with status 4, or the right answer | `damage` |
//! | a store is cut off | 40 lengths times three commands | an error with status 4 | here |
//! | a build is killed | 100 random moments, a slow test | the old or the new content; the next build tidies up | `killed` |
//! | the disk is full | while runs and stores are written | refused; the store is as it was | `disk_full` |
//! | Ctrl-C, the system, a terminal that closes | each wait and each loop, three signals | status 130, nothing left | `signals`, `interrupt` |
//! | signals ignored at the start | each of the three | the work goes on | `signals` |
//! | few bytes that decompress to many | 100 GB to be stopped, 256 MB to be read | stopped at once; refused within little memory | `signals`, here |
//! | a pipe that nobody writes to, bytes that never end | each command that reads | stopped at once; refused at the limit | `signals`, `limits` |
//! | a megabyte that is no person's | 23 kinds times four commands | refused with the limit, or read within 600 MB of addresses | `limits` |
//! | a dump, a store, a picture where a text belongs | each command that reads one | refused with status 3 | `limits`, here |
//! | a text by hand is mangled | 140 draws over 14 commands | answered, or refused in one line with nothing written | `draws` |
//! | a store is damaged under the commands that draw and compare | 60 draws | status 4, or the same answer and files | `draws` |
//! | a file does not fit, an answer cannot be written | 10 commands that write, four ways each | all or nothing, status 4 | `draws` |
//! | one of several dumps is damaged, `--keep-going` | 24 draws | the others count whole | `draws` |
//! | outputs that are stores, by any name | seven names times seven commands; seven files in folders | status 4, no file changes | `kept` |
//! | a pipe that nobody reads | 11 commands, three signals | status 130, nothing left | `signals` |
//! | a limit on the size of files | three limits times five commands | status 4, nothing left | `outputs` |
//! | files without write permission, private ones | six commands each | refused; the mode stays | `kept` |
//! | outputs that cannot be written | three ways times 16 commands; 17 answers | notes are dropped, answers are status 4 | `outputs` |
//! | letters that steer a terminal | in all that others can name | none gets there | `letters` |
//! | an engine that dies, hangs, floods, never reads, leaves children | one each | a note; all of its processes are gone | `engine`, `signals` |
//! | any bytes | the seeds of the fuzz targets and 600 draws each | read or refused | `fuzzed` |

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::kit::{Folder, random_games};

#[test]
fn a_store_cut_anywhere_is_an_error() {
    let folder = Folder::built(random_games(21, 60, 40).concat(), "--keep-from 1");
    let store = folder.read("deadfall.redb");
    let mut chance = StdRng::seed_from_u64(21);
    for _ in 0..40 {
        let length = chance.random_range(0..store.len());
        folder.write("deadfall.redb", &store[..length]);
        for command in ["moves e4", "about --verify", "export"] {
            let run = folder.run(command).exits(4);
            run.check(!run.stderr().contains("panicked"), &format!("no panic at {length}"));
            run.check(run.stderr().contains("deadfall.redb"), "the store's name");
        }
    }
}

/// Zeros, one game and zeros, many empty frames; in each compression, in turn and
/// inside each other.
#[test]
fn few_bytes_that_become_many_take_little_memory() {
    use std::io::{Read, Write};
    let zeros = |bytes: u64| std::io::repeat(0).take(bytes);
    let game = &random_games(22, 1, 40)[0];
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    std::io::copy(&mut zeros(1 << 28), &mut gzip).expect("memory");
    let mut bzip2 = bzip2::write::BzEncoder::new(Vec::new(), bzip2::Compression::fast());
    std::io::copy(&mut zeros(1 << 24), &mut bzip2).expect("memory");
    let zstd = |bytes: u64| zstd::encode_all(zeros(bytes), 1).expect("memory");
    let mut around = zstd::encode_all(game.as_bytes(), 1).expect("memory");
    around.write_all(&zstd(1 << 28)).expect("memory");
    for (name, bytes, status) in [
        ("zeros.zst", zstd(1 << 28), 3),
        ("zeros.gz", gzip.finish().expect("memory"), 3),
        ("zeros.bz2", bzip2.finish().expect("memory"), 3),
        ("twice.zst", zstd::encode_all(&zstd(1 << 28)[..], 1).expect("memory"), 3),
        ("empty.zst", zstd::encode_all(&b""[..], 1).expect("memory").repeat(100_000), 3),
        ("game.zst", around, 0),
    ] {
        let folder = Folder::with(name, bytes);
        let line =
            format!("ulimit -v 1500000; \"$deadfall\" build {name} --memory 256MiB --threads 2");
        let run = folder.shell(&line).exits(status);
        run.check(!run.stderr().contains("panicked"), "no panic");
        if status == 3 {
            assert_eq!(folder.files(), [name], "something was left behind");
        }
    }
}

#[test]
fn a_file_of_another_kind_is_refused_where_a_text_belongs() {
    let folder = Folder::built(random_games(23, 30, 40).concat(), "--keep-from 1");
    let mut picture = b"\x89PNG\r\n\x1a\n".to_vec();
    picture.extend((0..=255).cycle().take(5_000));
    folder.write("picture.png", picture);
    std::fs::create_dir(folder.path("folder")).expect("it can be made");
    for file in ["deadfall.redb", "picture.png", "folder", "none", "/dev/null"] {
        for command in [
            "trap ./FILE",
            "lesson ./FILE --out new",
            "map --traps FILE",
            "map --repertoire FILE --as white",
            "hunt --as white --repertoire FILE",
            "moves --claims FILE",
            "gaps ./FILE --as white",
            "diagram ./FILE --out new",
            "student FILE --name x",
            "student dump.pgn --name x --repertoire FILE --as white",
            "games e4 FILE",
            "build FILE --store new.redb",
        ] {
            folder.run(&command.replace("FILE", file).replace(".//dev", "/dev")).refused(3);
        }
    }
}
