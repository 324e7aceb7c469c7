//! What the commands print, whole, on a small store.

use insta::assert_snapshot;

use crate::kit::{Folder, Game, dump};

/// A trap laid 90 times, and some other games.
pub fn games() -> String {
    let game = |moves: &str| Game::of(moves).opening("C50", "Italian Game");
    let laid = "e4 e5 Nf3 Nc6 Bc4 Nd4";
    let slip = game(&format!("{laid} Nxe5 Qg5 Nxf7 Qxg2")).ratings(1250, 1310).result("0-1");
    let missed = game(&format!("{laid} Nxe5 Qe7 Nf3")).ratings(1290, 1220);
    let answered = game(&format!("{laid} Nxd4 exd4 O-O")).ratings(1380, 1330).result("1/2-1/2");
    let usual = game("e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6").ratings(1420, 1360);
    let timed = Game::of("d4 d5 c4 e6")
        .ratings(1500, 1550)
        .tag("TimeControl", "900+10")
        .clocks("0:15:00 0:15:00 0:15:04 0:14:58.5")
        .evals("0.2 0.31 0.25 0.4");
    let left_out = dump(&[
        Game::of("e4 e5").result("*"),
        Game::of("e4 e5").without("WhiteElo"),
        Game::of("e4 Ke7"),
    ]);
    let counted = [(slip, 40), (missed, 20), (answered, 30), (usual, 60), (timed, 10)];
    counted.iter().map(|(game, count)| game.times(*count)).collect::<String>() + &left_out
}

pub fn store() -> Folder {
    Folder::built(games(), "--keep-from 1")
}

/// The text without its times, speeds and file sizes.
fn masked(text: &str) -> String {
    let is_unit = |word: &str| {
        let unit = word.trim_end_matches(|letter: char| !letter.is_ascii_alphabetic());
        matches!(unit, "s" | "games/s" | "MB/s" | "kB" | "MB")
    };
    let masked_line = |line: &str| {
        let mut words: Vec<&str> = line.split(' ').collect();
        for place in 1..words.len() {
            if is_unit(words[place]) {
                words[place - 1] = if words[place - 1].starts_with('(') { "(N" } else { "N" };
            }
        }
        words.join(" ")
    };
    text.lines().map(masked_line).collect::<Vec<_>>().join("\n")
}

/// The text with its decimals cut to four, which is as far as two machines must agree.
pub fn rounded(text: &str) -> String {
    let is_part = |letter: char| letter.is_ascii_digit() || letter == '.';
    let number = |word: &str| match word.split_once('.') {
        Some((whole, decimals)) if !whole.is_empty() && decimals.len() > 4 => {
            format!("{:.4}", word.parse::<f64>().expect("a number"))
        }
        _ => word.to_owned(),
    };
    let (mut rounded, mut word) = (String::new(), String::new());
    for letter in text.chars().chain(['\n']) {
        if is_part(letter) {
            word.push(letter);
        } else {
            rounded += &number(&std::mem::take(&mut word));
            rounded.push(letter);
        }
    }
    rounded.trim_end().to_owned()
}

pub const TRAP: &str = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5";

#[test]
fn build_says_what_it_read_left_out_and_kept() {
    let folder = Folder::with("dump.pgn", games());
    let run = folder.run("build dump.pgn --keep-from 11").ok();
    run.check(run.stdout().is_empty(), "nothing on standard output");
    assert_snapshot!(masked(&run.stderr()), @"
    Read 163 games in N s (N games/s, N MB/s).
    Counted 160, left out 3.

    left out      games  because                                          first at
    -----------------------------------------------------------------------------------------------------------------
    no_result         1  no result
    no_rating         1  a rating is missing or not from 1 to 3999
    illegal_move      1  a move that is illegal, ambiguous or unreadable  dump.pgn, game 163, byte 42997, half-move 2

    Kept 15 positions with 11 games or more and dropped 3: 1,340 of 1,370 half-moves
        are in the store.
    The store is N kB large.
    ");
}

#[test]
fn a_trap_as_a_table() {
    assert_snapshot!(store().run_with(&["trap", TRAP]).answer());
}

#[test]
fn a_trap_as_csv() {
    let csv = store().run_with(&["trap", TRAP, "--min-sample", "5", "--format", "csv"]).answer();
    assert_snapshot!(rounded(&csv), @"
    name,setter,scope,from,below,line,trap_fen,bait,slip,refutation,slips,refutations,advice,advice_reasons,games_to_decide,games,occurrence,occurrence_low,occurrence_high,occurrence_k,occurrence_n,occurrence_n_eff,steered,steered_low,steered_high,steered_k,steered_n,steered_n_eff,steered_rarest,steered_mixed,steered_never,slip_rate,slip_rate_low,slip_rate_high,slip_rate_k,slip_rate_n,slip_rate_n_eff,find_rate,find_rate_low,find_rate_high,find_rate_k,find_rate_n,find_rate_n_eff,score_after_slip,score_after_slip_low,score_after_slip_high,score_after_slip_n,score_after_slip_n_eff,edge_after_slip,edge_after_slip_low,edge_after_slip_high,edge_after_slip_n,edge_after_slip_n_eff,edge_refuted,edge_refuted_low,edge_refuted_high,edge_refuted_n,edge_refuted_n_eff,edge_no_slip,edge_no_slip_low,edge_no_slip_high,edge_no_slip_n,edge_no_slip_n_eff,usual,edge_usual,edge_usual_low,edge_usual_high,edge_usual_n,edge_usual_n_eff,worth_per_1000,worth_per_1000_low,worth_per_1000_high,worth_per_1000_n,worth_per_1000_n_eff,price,price_low,price_high,price_n,price_n_eff,net_per_1000,net_per_1000_low,net_per_1000_high,net_per_1000_n,net_per_1000_n_eff,slips_per_1000,slips_per_1000_low,slips_per_1000_high,slips_per_1000_n,slips_per_1000_n_eff,own_slips_per_1000,own_slips_per_1000_low,own_slips_per_1000_high,own_slips_per_1000_n,own_slips_per_1000_n_eff,ahead_games,ahead_expected,ahead_expected_low,ahead_expected_high,ahead_expected_n,ahead_expected_n_eff,ahead_range_low,ahead_range_high,at_least_one,at_least_one_low,at_least_one_high,at_least_one_n,at_least_one_n_eff,verdict,pace,joined,steered_any_order,steered_any_order_low,steered_any_order_high,steered_any_order_k,steered_any_order_n,steered_any_order_n_eff,slip_s,slip_s_low,slip_s_high,slip_s_n,slip_s_n_eff,others_s,others_s_low,others_s_high,others_s_n,others_s_n_eff,difference_s,difference_s_low,difference_s_high,difference_s_n,difference_s_n_eff,slip_below,slip_below_low,slip_below_high,slip_below_n,slip_below_n_eff,earlier_move,edge_earlier,edge_earlier_low,edge_earlier_high,edge_earlier_n,edge_earlier_n_eff,edge_earlier_difference,edge_earlier_difference_low,edge_earlier_difference_high,edge_earlier_difference_n,edge_earlier_difference_n_eff,soundness,soundness_slip_loses_cp,soundness_without_slip_cp,soundness_because,withheld
    Trap 1,black,all,0,4000,1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5,r1bqkbnr/pppp1ppp/8/4p3/2BnP3/5N2/PPPP1PPP/RNBQK2R w KQkq - 4 4,Nd4,Nxe5,Qg5,Nxe5,Nxe5 Qg5,undecided,comes_up;pays;ask_engine;own_slips,,90,0.5625,0.4819,0.6399,90,160,160,0.9375,0.8771,0.9635,150,150,150,2.Nf3,true,,0.6667,0.5600,0.7587,60,90,90,0.6667,0.5353,0.7764,40,60,60,0.6667,0.5353,0.7764,60,60,0.2130,0.0816,0.3227,60,60,0.5017,0.4075,0.5017,40,40,0.1558,0.0949,0.2167,30,30,Bc5,-0.3308,-0.3308,-0.2660,60,60,166.0682,92.0393,235.5430,40,40,-0.4866,-0.5475,-0.3977,30,30,672.3765,569.4440,712.3842,30,30,625,519.4235,715.1829,90,90,375,294.4506,448.0754,90,90,50,31.25,25.9712,35.7591,90,90,22,39,1,1.0000,1,90,90,common,,,0.9375,0.8880,0.9705,150,150,150,,,,0,0,,,,0,0,,,,0,0,,,,,,,,,,,,,,,,,unknown,,,no source tells enough,slip_s: no games; others_s: no games; difference_s: no games
    Trap 1,black,band,1200,1300,1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5,r1bqkbnr/pppp1ppp/8/4p3/2BnP3/5N2/PPPP1PPP/RNBQK2R w KQkq - 4 4,Nd4,Nxe5,Qg5,,,,,,60,1,0.9352,1,60,60,60,1,0.9358,1,60,60,60,1.e4,false,,1,0.9352,1,60,60,60,0,0,0.1722,0,20,20,0.6667,0.5353,0.7764,60,60,0.2130,0.0816,0.3227,60,60,,,,0,0,,,,0,0,,,,,0,0,,,,0,0,,,,0,0,,,,0,0,1000,922.1333,1000,60,60,1000,908.3133,1000,60,60,50,50,46.1067,50,60,60,44,50,1,1,1,60,60,common,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,edge_refuted: no games; edge_no_slip: no games; edge_usual: no games; worth_per_1000: edge refuted: no games; price: edge of the usual moves: no games; net_per_1000: edge refuted: no games
    Trap 1,black,band,1300,1400,1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5,r1bqkbnr/pppp1ppp/8/4p3/2BnP3/5N2/PPPP1PPP/RNBQK2R w KQkq - 4 4,Nd4,Nxe5,Qg5,,,,,,30,1,0.8782,1,30,30,30,1,0.8762,1,30,30,30,1.e4,false,,0,0,0.1218,0,30,30,1,0.9058,1,40,40,40,,,,0,0,,,,0,0,0.5017,0.4075,0.5017,40,40,0.1558,0.0949,0.2167,30,30,Bc5,-0.3308,-0.3308,-0.2660,60,60,0,0,0,30,30,-0.4866,-0.5475,-0.3977,30,30,486.6138,379.1949,560.6469,30,30,0,0,400.7069,30,30,0,0,121.7700,30,30,50,0,0,20.0353,30,30,0,21,0,0,1.0000,30,30,too_few_games,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,score_after_slip: no games; edge_after_slip: no games
    Trap 1,black,curve_slip_rate,1200,1400,,,,,,,,,,,,,,,,,,,,,,,,,,,0.6667,0.5600,0.7587,60,90,90,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,true,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,
    Trap 1,black,curve_find_rate,1200,1400,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,0.6667,0.5353,0.7764,40,60,60,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,true,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,
    Trap 1,black,curve_edge_after_slip,1200,1300,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,0.2130,0.0816,0.3227,60,60,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,false,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,
    Trap 1,black,earlier_choice,0,4000,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,0,0,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,1...e5,-0.0069,-0.0742,0.0667,150,150,,,,0,0,,,,,edge_usual: no games; edge_earlier_difference: edge of the usual moves: no games
    Trap 1,black,earlier_choice,0,4000,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,0,0,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,2...Nc6,-0.0069,-0.0742,0.0667,150,150,,,,0,0,,,,,edge_usual: no games; edge_earlier_difference: edge of the usual moves: no games
    ");
}

#[test]
fn about_as_csv() {
    assert_snapshot!(store().run("about --format csv").answer(), @"
    name,hash,games_read,games_counted,variant,no_result,no_rating,computer,not_played_out,unrated,outside_dates,other_pace,rating_gap,broken,no_moves,illegal_move,nameless_sides,first,last,complete,undated
    dump.pgn,ae8eef95257b9c97acb7769a54ad2f34,163,160,0,1,1,0,0,0,0,0,0,0,0,1,0,2031-05-17,2031-05-17,true,0
    ");
}

#[test]
fn about_verify_says_that_all_is_sound() {
    let answer = store().run("about --verify").answer();
    assert_snapshot!(answer.lines().last().unwrap_or_default(), @"Checked 18 positions and 31 cells: all sound.");
}

#[test]
fn the_store_is_found_by_option_and_by_environment() {
    let folder = Folder::with("dump.pgn", games());
    folder.run("build dump.pgn --store one.redb").ok();
    let by_option = folder.run("moves --store one.redb").answer();
    let by_environment = folder.shell("DEADFALL_STORE=one.redb \"$deadfall\" moves").answer();
    assert_eq!(by_option, by_environment);
    folder.run("moves").refused(4);
}

#[test]
fn help_and_version_are_answers() {
    let folder = Folder::new();
    assert!(folder.run("--help").answer().contains("130  stopped by a signal"));
    assert_eq!(
        folder.run("--version").answer(),
        concat!("deadfall ", env!("CARGO_PKG_VERSION"), "\n")
    );
    for command in ["build", "moves", "trap", "about", "export"] {
        assert!(folder.run(&format!("{command} --help")).answer().contains("Usage: deadfall"));
    }
}

#[test]
fn a_wrong_command_is_a_usage_error() {
    let folder = Folder::new();
    for (typed, words) in [
        ("frobnicate", "'frobnicate'; 'deadfall --help' tells more"),
        ("mvoes e4", "a similar subcommand exists: 'moves'"),
        ("moves e4 --formt json", "a similar argument exists: '--format'"),
        ("hunt --as whit", "[possible values: white, black]; a similar value exists: 'white'"),
        ("hunt", "not provided: --as <COLOUR>; 'deadfall hunt --help' tells more"),
        ("moves e4 --claims x", "cannot be used with"),
        ("moves --from x", "'x' for '--from <RATING>'"),
        ("trap e4 --ahead 99999", "99999 is not in"),
        (
            "trap e4?? --engine e --engine-timeout x",
            "'x' for '--engine-timeout <S>': give a number",
        ),
    ] {
        let message = folder.run(typed).refused(2);
        assert!(message.contains(words), "{typed}: {message}");
    }
}

#[test]
fn nothing_is_coloured_in_a_pipe() {
    let folder = store();
    for command in ["moves", "about", "export", "moves --format json", "--help"] {
        assert!(!folder.run(command).answer().contains('\u{1b}'), "{command}");
    }
    let refused = folder.run("moves e5").refused(3);
    assert!(!refused.contains('\u{1b}'));
}
