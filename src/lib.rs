//! deadfall: which opening traps really occur at a playing level.
//!
//! The pipeline, in the order in which data flows; each folder is one stage. Which stage may use
//! which is written down, and checked, in `tests/it/architecture.rs`:
//!
//! ```text
//! source   a dump (path or stdin) -> decompressed bytes in batches of whole games
//! games    the text of one game   -> Game, or the reason why it is left out
//! plies    the moves of a Game    -> position keys and moves
//! terms    rating, band, pace, key, move code: the words of all stages
//! counts   half-moves             -> records -> cells, totals, opening names
//! lines    what a user points at  -> positions, traps and claims
//! ledger   dumps, builds          -> one entry a dump, a summary a build
//! importer threads, memory, runs  -> one sorted stream of positions
//! store    positions              -> one redb file, and back
//! extract  dumps, once more       -> whole games as PGN
//! files    what is written        -> locks, working folders, finished files in their places
//! engine   positions              -> what a chess engine says about them
//! answers  counts                 -> moves, traps, claims, with intervals
//! pages    answers                -> tables, JSON, CSV; HTML, PGN, SVG
//! cli      arguments              -> all of the above
//! ```
//!
//! # What is trusted
//!
//! Nothing that comes from outside. Each promise has tests, in `tests/it` where no other place is
//! named; `faults` there lists what was tried.
//!
//! | what | trusted | promise | tests |
//! | --- | --- | --- | --- |
//! | dumps, their text | no | read = counted + left out, whatever the bytes, the memory, the threads, the batches and the frames; a dump that breaks off is refused | `odd_texts`, `batches`, `frames`, `damage`, `bad_input`, `fuzzed` (reader, counts, dump), `determinism` |
//! | dumps, compressed | no | few bytes that become many take bounded memory and can be stopped; damage is reported with its place | `faults`, `signals`, `damage` |
//! | files of traps, claims, prepared lines; lines as arguments | no | linear time, bounded memory, limits that are named (`lines::limits`); no word that is not understood, and no wrong number, is passed over | `limits`, `lines::trap_tests`, `draws`, `fuzzed` (traps, claims, prepared) |
//! | a student's games | no | read = taken + left out, whatever the bytes; bounded memory; no name but the student's gets anywhere, and nothing into a store or onto the disk | `student`, `letters`, `signals` |
//! | letters in names of files, tags, words and moves | no | none that could steer a terminal reaches it: replaced in text and messages, escaped in JSON; CSV keeps them unless a terminal would see it; the lesson escapes markup | `letters`, `pages::safe`, `lesson` |
//! | stores | no | an error or the right answer, neither a panic nor a wrong answer; each entry has a checksum | `damage`, `faults`, `store::tests` |
//! | an engine and what it says | no | it is started as asked, and costs a note at worst: time limits for what it says and what it does not read, short texts, legal moves, counts that do not wrap; it ends with all that it started | `engine`, `signals`, `fuzzed` (engine) |
//! | the environment | the user's | `DEADFALL_STORE` names a store, `NO_COLOR` and the locale are heeded, nothing else is read | `commands` |
//! | working folder, lock, outputs | no | nothing is emptied, removed or written over but what a build has made itself; all or nothing; no output is written over an input or any store; modes stay, protected files too | `foreign`, `kept`, `outputs`, `interrupt`, `killed`, `disk_full`, `draws` |
//! | outputs that cannot be written | - | an answer is status 4, also help; notes are dropped; a closed pipe leaves the status of the answer | `unwritable` |
//! | signals | the system's | every wait and every loop ends with status 130; one that was ignored at the start stays ignored | `signals`, `interrupt` |
//!
//! Not promised: secrecy (a store holds no names of players, but names of dumps), and help against
//! a user who may write to one's own folders while the program runs. A device that does not finish
//! a write to the disk holds up even a killed program.

#![forbid(unsafe_code)]

pub mod answers;
pub mod cli;
pub mod counts;
pub mod engine;
pub mod extract;
pub mod files;
pub mod games;
pub mod importer;
pub mod ledger;
pub mod lines;
pub mod pages;
pub mod plies;
pub mod source;
pub mod store;
pub mod terms;
