//! What is refused, and how.

use std::fs;
use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use redb::{Database, TableDefinition};

use super::kit;
use crate::counts::{Total, Totals};
use crate::store::codec::encode_body;
use crate::store::writer::write_about;
use crate::store::{Header, Store, StoreError, Summary, schema, verify, write_store};
use crate::terms::Key;

fn error_of(path: &std::path::Path) -> StoreError {
    Store::open(path).err().expect("an error")
}

#[test]
fn a_missing_store_is_named_with_what_builds_it() {
    let (_folder, path) = kit::place();
    let error = error_of(&path);
    assert!(matches!(error, StoreError::Missing { .. }));
    assert!(error.to_string().contains("deadfall build DUMP --store"));
    assert!(!path.exists());
}

#[test]
fn other_files_are_not_stores() {
    let (folder, path) = kit::place();
    for content in ["", "red", "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 *\n"] {
        fs::write(&path, content).expect("written");
        assert!(matches!(error_of(&path), StoreError::NotAStore { .. }), "{content:?}");
        assert!(matches!(verify(&path), Err(StoreError::NotAStore { .. })), "{content:?}");
        assert_eq!(fs::read_to_string(&path).expect("read"), content);
    }
    assert!(matches!(error_of(folder.path()), StoreError::NotAStore { .. }));
}

#[test]
fn a_database_of_another_program_is_not_a_store() {
    let (_folder, path) = kit::place();
    let database = Database::create(&path).expect("created");
    let transaction = database.begin_write().expect("begun");
    let table: TableDefinition<u64, u64> = TableDefinition::new("deadfalls");
    transaction.open_table(table).expect("opened").insert(1, 2).expect("inserted");
    transaction.commit().expect("committed");
    drop(database);
    assert!(matches!(error_of(&path), StoreError::NotAStore { .. }));
}

#[test]
fn another_format_is_named_with_what_to_do() {
    let (_folder, path) = kit::place();
    let database = Database::create(&path).expect("created");
    let transaction = database.begin_write().expect("begun");
    transaction.open_table(schema::POSITIONS).expect("opened");
    let (header, summary) = (kit::header(&[]), Summary::default());
    write_about(&path, &transaction, 99, &header, &summary, &[]).expect("written");
    transaction.commit().expect("committed");
    drop(database);
    let error = error_of(&path);
    assert!(matches!(error, StoreError::OtherFormat { found: 99, expected: schema::FORMAT, .. }));
    assert!(error.to_string().contains("made in format 99, this program reads format 2"));
}

#[test]
fn a_store_cut_short_is_damaged() {
    let (_folder, path) = kit::place();
    kit::write(&path, &kit::positions(2000, 1));
    let whole = fs::read(&path).expect("read");
    for share in [10, 100, 500, 900, 999] {
        fs::write(&path, &whole[..whole.len() * share / 1000]).expect("written");
        let error = match Store::open(&path) {
            Ok(store) => store.positions().find_map(Result::err).expect("an error"),
            Err(error) => error,
        };
        assert!(matches!(error, StoreError::Damaged { .. }), "{share}: {error}");
    }
}

#[test]
fn positions_out_of_order_are_refused_and_leave_no_file() {
    let (_folder, path) = kit::place();
    let position = &kit::positions(1, 1)[0];
    let mut body = Vec::new();
    let head = encode_body(position, &mut body);
    for second in [5, 4] {
        let written = write_store::<_, StoreError>(&path, kit::CACHE, &Arc::default(), |sink| {
            sink.push(Key(5), head, &body, None)?;
            sink.push(Key(second), head, &body, None)?;
            Ok((kit::header(&[]), ()))
        });
        assert!(matches!(written, Err(StoreError::OutOfOrder { .. })));
        assert!(!path.exists());
    }
}

#[test]
fn an_error_of_the_caller_comes_through_and_leaves_no_file() {
    #[derive(Debug, PartialEq)]
    struct Stopped;
    impl From<StoreError> for Stopped {
        fn from(_: StoreError) -> Stopped {
            Stopped
        }
    }
    let (_folder, path) = kit::place();
    let written =
        write_store(&path, kit::CACHE, &Arc::default(), |_| Err::<(Header, ()), _>(Stopped));
    assert_eq!(written, Err(Stopped));
    assert!(!path.exists());
}

#[test]
fn a_file_in_the_way_is_not_written_over() {
    let (_folder, path) = kit::place();
    fs::File::create(&path).expect("created").write_all(b"mine").expect("written");
    let written = write_store::<_, StoreError>(&path, kit::CACHE, &Arc::default(), |_| {
        Ok((kit::header(&[]), ()))
    });
    assert!(matches!(written, Err(StoreError::Io { doing: "write", .. })));
    assert_eq!(fs::read(&path).expect("read"), b"mine");
}

#[test]
fn a_source_that_does_not_add_up_is_damage() {
    let (_folder, path) = kit::place();
    let mut header = kit::header(&[]);
    header.sources[0].games.games_read += 1;
    kit::write_with(&path, &[], header);
    assert!(error_of(&path).to_string().contains("do not add up"));
}

#[test]
fn totals_that_cannot_have_been_counted_are_damage() {
    // Games by group add up to the games: so they are read.
    let changed: [fn(&mut Total); 3] = [
        |total| total.expected_sq = 1_400_001,
        |total| total.expected_result = 1_400_001,
        |total| total.cell.wins = 3,
    ];
    for change in changed {
        let (_folder, path) = kit::place();
        let mut header = kit::header(&[]);
        let rows: Vec<_> =
            header.totals.totals().map(|(colour, id, total)| (colour, id, total.clone())).collect();
        header.totals = Totals::default();
        for (colour, id, mut total) in rows {
            change(&mut total);
            header.totals.add(colour, id, &total);
        }
        kit::write_with(&path, &[], header);
        assert!(error_of(&path).to_string().contains("its entry 'totals' cannot be read"));
    }
}

#[test]
fn more_nameless_sides_than_the_games_have_are_damage() {
    let (_folder, path) = kit::place();
    let mut header = kit::header(&[]);
    header.sources[0].games.nameless_sides = 7;
    kit::write_with(&path, &[], header);
    assert!(error_of(&path).to_string().contains("do not add up"));
}

#[test]
fn visits_that_do_not_add_up_are_found_by_the_check() {
    let (_folder, path) = kit::place();
    let positions = kit::positions(10, 1);
    let mut header = kit::header(&positions);
    header.visits_dropped += 1;
    kit::write_with(&path, &positions, header);
    let report = verify(&path).expect("opened");
    assert_eq!(report.findings.len(), 1, "{report:?}");
}

#[test]
fn a_store_that_is_asked_to_stop_is_not_finished() {
    let folder = tempfile::TempDir::new().expect("a temporary folder");
    let path = folder.path().join("store.redb");
    let stop = Arc::new(AtomicBool::new(false));
    let written = write_store::<_, StoreError>(&path, kit::CACHE, &stop, |_| {
        stop.store(true, Ordering::Relaxed);
        Ok((kit::header(&[]), ()))
    });
    assert!(matches!(written, Err(StoreError::Io { .. })) && !path.exists());
}
