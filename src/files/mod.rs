//! Files that are written, and what there is around them: the lock, the working folder, and the
//! step that puts what is finished into its place.
//!
//! In: the place of a store or of another file (the target). Out: a [`Workspace`] beside it, in
//! which everything unfinished lies until [`put_all`] renames it. All that write files use this:
//! `importer` for stores, `cli` for all others.
//!
//! ```text
//! deadfall.redb                              the target: as it was, until the new one is whole
//! deadfall.redb.lock                         locked while a run lives; names its working folders
//! deadfall-unfinished-<128 random bits>/     a working folder, mode 0700
//!     mark                                   proves that a run has made the folder, and which
//!     new                                    what will take the target's place
//!     old                                    what was there, where several files are put at a time
//!     run-*                                  sorted runs of a build; with --temp-dir there
//! ```
//!
//! # Promises
//!
//! - A file takes its place at once and whole, and only the place of what was there when the work
//!   began: a file that came or changed meanwhile stays. Of several files all take their places or
//!   none; where a later one cannot, the earlier ones are put back. (A kill in the instant between
//!   two renames leaves each of them old or new, and whole.)
//! - A file keeps its mode when it is replaced, and its owner and group as far as the system lets
//!   us; where its group is lost, so is what only the group might do. One without write permission
//!   is not replaced.
//! - A pipe or a device is written to as it is, and signals are heard while it is waited for.
//! - Whatever is not ours is never written to, truncated, emptied or removed. Folders are
//!   made exclusively under names that cannot be guessed; files are made new, never through a link.
//! - What a dead run has left is found by the next run for the same target, and by two signs
//!   together: a lock that begins as ours do and that nobody holds, and in the folder that it names
//!   a mark with the random identity that it names. A folder without that mark, or one that is
//!   reached through a symbolic link, stays and is named ([`Left`]). A folder that is empty, or
//!   holds the beginning of the right mark and nothing else, is one whose making was cut short.
//! - Of a folder of ours only the names above are removed. If others are in it, it stays
//!   and is named.
//!
//! # What is trusted of the file system
//!
//! The folder around the target and the folder for temporary files may be shared (`/tmp`), as long
//! as nobody else may rename what is ours there: a user who may do that may remove the store as
//! well. Renames within a file system are trusted to be atomic, advisory locks to end with the
//! process (whatever ends it), and new files to be exclusive. Names need not be UTF-8. What others
//! put there beforehand is not trusted, whatever its name, kind or content.
//!
//! # Limits
//!
//! On Linux a lock appears under its name locked and with its content. On file systems without
//! unnamed files it is made and then written: a run that is killed in between leaves an empty lock,
//! which the next one cannot tell from a file of somebody else's, and names. Elsewhere a lock is
//! made and then locked, so a second run may find it in between, and waits a little.

mod access;
mod device;
mod error;
mod identity;
mod lock;
mod place;
mod workspace;

pub use access::refuse_protected;
pub use device::{Writer, open_device};
pub use error::{FilesError, failed};
pub use identity::{folder_of, is_input, is_printed_into, same_file, twice};
pub use place::put_all;
pub use workspace::{Left, Workspace};
