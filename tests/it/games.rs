//! `games`: whole games out of dumps.

use crate::kit::{Folder, Game, dump, real_dump};

const SLIPPED: &str = "e4 e5 Nf3 f6 Nxe5 fxe5 d4";
const REFUTED: &str = "e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+ Ke7";
const TRAP: &str = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";

/// Games named by their White players.
fn games() -> Vec<Game> {
    let game = |name: &str, moves: &str| Game::of(moves).tag("White", name);
    vec![
        game("slipped", SLIPPED).ratings(1500, 1150),
        game("refuted", REFUTED).ratings(1400, 1310).result("1/2-1/2"),
        game("other-order", "Nf3 f6 e4 e5 Nxe5 fxe5 Qh5+").ratings(1700, 1420),
        game("avoided", "e4 e5 Nf3 f6 Nxe5 Qe7").ratings(1200, 1250).result("0-1"),
        game("elsewhere", "d4 d5 c4").ratings(1600, 1600),
        game("illegal", "e4 e5 Nf3 f6 Nxe5 fxe5 Ng1").ratings(900, 950),
        game("rapid", SLIPPED).ratings(1300, 1340).tag("TimeControl", "900+10"),
        game("unrated", SLIPPED).tag("Event", "Harbour League casual blitz"),
    ]
}

fn folder() -> Folder {
    // One breaks the rules behind the slip and one is unrated, so that they do not count at all.
    Folder::with("dump.pgn", dump(&games()))
}

/// The White players of a PGN.
fn names(pgn: &str) -> Vec<&str> {
    let tags = pgn.lines().filter_map(|line| line.strip_prefix("[White \"")?.strip_suffix("\"]"));
    tags.collect()
}

#[track_caller]
fn found(line: &str, options: &str, want: &[&str]) {
    let folder = folder();
    let mut arguments = vec!["games", line, "dump.pgn"];
    arguments.extend(options.split_whitespace());
    let pgn = folder.run_with(&arguments).ok().stdout();
    assert_eq!(names(&pgn), want, "{line} {options}");
}

#[test]
fn a_position_is_met_in_any_move_order() {
    let all = ["slipped", "refuted", "other-order", "avoided", "rapid"];
    found("e4 e5 Nf3 f6", "", &all);
    found("1. Nf3 f6 2. e4 e5", "", &all);
    found("d4", "", &["elsewhere"]);
    found("e4 c5", "", &[]);
    // What is wrong behind them is not looked at.
    let more = ["slipped", "refuted", "other-order", "avoided", "illegal", "rapid"];
    found("e4 e5 Nf3 f6", "--half-moves 4", &more);
}

#[test]
fn of_a_trap_the_position_the_slip_or_the_refutation_is_wanted() {
    found(TRAP, "", &["slipped", "refuted", "other-order", "avoided", "rapid"]);
    found(TRAP, "--slip", &["slipped", "refuted", "other-order", "rapid"]);
    found(TRAP, "--refuted --won-by any", &["refuted", "other-order"]);
    found(TRAP, "--slip --refuted --won-by any", &["refuted", "other-order"]);
}

#[test]
fn ratings_and_pace_are_those_of_whoever_is_to_move_there() {
    found(TRAP, "--slip --from 1300 --below 1400", &["refuted", "rapid"]);
    found(TRAP, "--slip --pace rapid", &["rapid"]);
    found("e4", "--below 1200 --from 1100", &["slipped"]);
    found("e4 e5 Nf3 f6", "--from 1700", &["other-order"]);
}

#[test]
fn results_pick_games() {
    found(TRAP, "--result 1/2-1/2", &["refuted"]);
    found(TRAP, "--result 1/2-1/2,0-1", &["refuted", "avoided"]);
    folder().run_with(&["games", "e4", "dump.pgn", "--result", "won"]).refused(2);
}

#[test]
fn refuted_games_are_those_that_the_setter_won_unless_asked() {
    found(TRAP, "--refuted", &["other-order"]);
    found(TRAP, "--refuted --result 1/2-1/2", &["refuted"]);
    found(TRAP, "--won-by setter", &["slipped", "other-order", "rapid"]);
    found(TRAP, "--won-by victim", &["avoided"]);
    folder()
        .run_with(&["games", TRAP, "dump.pgn", "--won-by", "any", "--result", "1-0"])
        .refused(2);
    let why = folder().run_with(&["games", "e4", "dump.pgn", "--won-by", "setter"]).refused(2);
    assert!(why.contains("--won-by needs a trap"), "{why}");
}

#[test]
fn games_have_no_clocks_unless_asked_and_a_comment_at_the_slip() {
    let timed = Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+").tag("TimeControl", "900+10");
    let clocks = "0:15:00 0:15:00 0:15:04 0:14:58 0:14:00 0:13:00 0:14:01";
    let folder = Folder::with("dump.pgn", dump(&[timed.clocks(clocks)]));
    let pgn = folder.run_with(&["games", TRAP, "dump.pgn"]).ok().stdout();
    let moves = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5 { The slip: Qh5+ refutes it. } 4. Qh5+ 1-0";
    assert_eq!(pgn.lines().filter(|line| line.starts_with("1. ")).collect::<Vec<_>>(), [moves]);
    let kept = folder.run_with(&["games", TRAP, "dump.pgn", "--clocks"]).ok().stdout();
    assert_eq!(kept.matches("%clk").count(), 7, "{kept}");
    assert_eq!(kept.matches("{ The slip: Qh5+ refutes it. }").count(), 1, "{kept}");
    let plain = folder.run_with(&["games", "e4 e5", "dump.pgn"]).ok().stdout();
    assert!(!plain.contains('{'), "{plain}");
}

/// Both ratings: slipped 2650, refuted 2710, other-order 3120, rapid 2640.
#[test]
fn the_lowest_or_the_highest_rated_come_first() {
    found(TRAP, "--slip --limit 2", &["slipped", "refuted"]);
    found(TRAP, "--slip --limit 3 --order lowest", &["rapid", "slipped", "refuted"]);
    found(TRAP, "--slip --limit 2 --order highest", &["other-order", "refuted"]);
    folder().run_with(&["games", "e4", "dump.pgn", "--order", "lowest"]).refused(2);
}

#[test]
fn a_game_comes_out_as_it_stands_in_the_dump() {
    let games = games();
    let folder = folder();
    let line = "e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+";
    let run = folder.run_with(&["games", line, "dump.pgn", "--clocks"]).ok();
    let tidy = |game: &Game| game.to_string().replace(" \n", "\n");
    assert_eq!(run.stdout(), tidy(&games[1]) + &tidy(&games[2]));
    assert_eq!(run.stderr(), "Found 2 games among 8 games read.\n");
}

#[test]
fn dumps_come_through_pipes_and_games_go_to_files() {
    let folder = folder();
    let input = folder.read("dump.pgn");
    let piped = folder.run_on(&input, "games d4 - --out -").ok();
    assert_eq!(names(&piped.stdout()), ["elsewhere"]);
    folder.write("out.pgn", "old");
    let run = folder.run("games d4 dump.pgn --out out.pgn --overwrite").ok();
    assert!(run.stdout().is_empty());
    assert_eq!(folder.read("out.pgn"), piped.stdout().into_bytes());
    assert_eq!(folder.files(), ["dump.pgn", "out.pgn"]);
    let device = folder.run("games d4 dump.pgn --out /dev/null").ok();
    assert!(device.stdout().is_empty() && !std::path::Path::new("/dev/null").is_file());
    let line = "\"$deadfall\" games e4 dump.pgn | \"$deadfall\" games 'e4 e5' - | head -n 1";
    assert!(folder.shell(line).ok().stdout().starts_with("[Event "));
}

/// The pipe stays open and silent behind the games: nothing more is waited for.
#[test]
fn a_limit_that_is_reached_ends_the_reading_of_a_silent_pipe() {
    let folder = folder();
    let many = folder.read("dump.pgn").repeat(2000);
    folder.write("many.pgn", many);
    let pipe = "{ cat many.pgn; exec sleep 20; } 2>/dev/null";
    let line = format!("\"$deadfall\" games d4 - --limit 3 --threads 1 < <({pipe})");
    let started = std::time::Instant::now();
    assert_eq!(names(&folder.shell(&line).ok().stdout()), ["elsewhere"; 3]);
    assert!(started.elapsed().as_secs() < 15, "it waited for the pipe");
}

#[test]
fn what_is_missing_or_broken_is_told_as_in_a_build() {
    let folder = folder();
    let refused = |arguments: &str, status| folder.run(arguments).refused(status);
    assert!(refused("games e4 none.pgn", 3).starts_with("deadfall: cannot open none.pgn: "));
    assert!(refused("games e4 dump.pgn --out none/out.pgn", 4).contains("none/out.pgn"));
    assert!(refused("games e4 dump.pgn --out dump.pgn", 4).contains("is read here"));
    assert!(refused("games Ke4 dump.pgn", 3).starts_with("deadfall: no legal move 'Ke4'"));
    assert!(refused("games e4 dump.pgn --slip", 2).contains("mark the slip in LINE with ??"));
    folder.write("empty.pgn", "no games\n");
    assert!(refused("games e4 empty.pgn", 3).starts_with("deadfall: no game in empty.pgn"));
    folder.run("games e4").refused(2);
    // Files before the line, one that is there or not, or several.
    for files in [&["dump.pgn"][..], &["none.pgn.zst"], &["dump.pgn", "empty.pgn"]] {
        let arguments: Vec<&str> =
            ["games", "--refuted"].iter().chain(files).chain(&["1. e4 e5"]).copied().collect();
        let told = folder.run_with(&arguments).refused(2);
        let line_first = format!("the line comes first: type games \"1. e4 e5\" '{}'", files[0]);
        assert!(told.contains(&line_first), "{told}");
    }
    folder.run("build dump.pgn --keep-from 1").ok();
    // A legal line is a line, whatever files there are.
    folder.write("e4", "no line\n");
    assert!(!names(&folder.run("games e4 dump.pgn").ok().stdout()).is_empty());
    assert!(refused("games e4 dump.pgn --slip", 2).contains("mark the slip in LINE with ??"));
    for command in ["moves e4", "hunt --as white e4", "map e4 --out map.svg", "diagram e4"] {
        folder.run(command).ok();
    }
    for command in ["moves dump.pgn", "hunt --as white dump.pgn", "map dump.pgn --out map.svg"] {
        let told = folder.run(command).refused(2);
        assert!(told.contains("'dump.pgn' is a file; this command takes the moves"), "{told}");
    }
}

#[test]
fn a_dump_that_breaks_off_is_an_error_and_leaves_no_file() {
    let folder = folder();
    folder.shell("for n in 1 2 3 4 5; do cat dump.pgn; done | gzip > whole.gz").ok();
    let whole = folder.read("whole.gz");
    folder.write("cut.gz", &whole[..whole.len() - 10]);
    let run = folder.run("games e4 cut.gz --out out.pgn").refused(3);
    assert!(run.contains("breaks off"), "{run}");
    assert!(!folder.files().contains(&"out.pgn".to_owned()), "{:?}", folder.files());
    let kept = folder.run("games e4 cut.gz --keep-going").ok().stdout();
    assert!(names(&kept).len() > 6, "{kept}");
}

#[test]
fn the_same_games_come_whatever_the_threads() {
    let Some(real) = real_dump() else { return };
    let folder = Folder::with("dump.pgn", real.repeat(4));
    let run =
        |threads: u8| folder.run(&format!("games e4 dump.pgn --threads {threads}")).ok().stdout();
    let one = run(1);
    assert_eq!(names(&one).len(), 4 * 254);
    assert!(run(3) == one, "another text with three threads");
}

/// `moves` counts a game where it makes a move; none of these games ends with one of these lines.
#[test]
fn it_finds_the_games_that_the_store_has_counted() {
    let Some(real) = real_dump() else { return };
    let folder = Folder::built(real, "--keep-from 1");
    for line in ["d4 d5", "e4 e5 Nf3", "e4 e5 Nf3 Nc6 Bc4", "e4 d5 exd5 Qxd5 Nc3", "Nf3 d5 d4"] {
        let counted = folder.run_with(&["moves", line, "--format", "json"]).json();
        let pgn = folder.run_with(&["games", line, "dump.pgn"]).ok().stdout();
        assert_eq!(counted["games"].as_u64(), Some(names(&pgn).len() as u64), "{line}");
    }
}

#[test]
fn what_it_writes_can_be_counted_again() {
    let Some(real) = real_dump() else { return };
    let folder = Folder::built(real, "--keep-from 1");
    folder.run_with(&["games", "e4 e5", "dump.pgn", "--out", "some.pgn"]).ok();
    folder.run("build some.pgn --store some.redb --keep-from 1").ok();
    let moves = |store: &str| {
        let run = folder.run_with(&["moves", "e4 e5", "--store", store, "--format", "csv"]);
        // Edges rest on all games of a store, so they differ.
        run.answer()
            .lines()
            .map(|row| row.split(',').take(12).collect::<String>())
            .collect::<Vec<_>>()
    };
    assert_eq!(moves("some.redb"), moves("deadfall.redb"));
}
