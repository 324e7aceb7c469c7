//! The wording of a lesson in English.
//!
//! Slots stand in braces. Moves keep the English letters of the PGN standard, so that page and PGN
//! file agree.

use super::words::Language;

/// English.
pub const ENGLISH: Language = Language {
    code: "en",
    thousands: ",",
    decimal: ".",
    percent: "\u{a0}%",
    minus: "\u{2212}",
    months: [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ],
    roles: [
        ["king", "kings"],
        ["queen", "queens"],
        ["rook", "rooks"],
        ["bishop", "bishops"],
        ["knight", "knights"],
        ["pawn", "pawns"],
    ],
    paces: ["bullet", "blitz", "rapid", "classical", "correspondence", "unknown pace"],
    codes: ["often", "now and then", "hardly ever", "too few games"],
    soundness: ["sound", "a gamble", "no slip: the marked move does not lose", "not known"],
    and: " and ",
    or: " or ",
    white: "White",
    black: "Black",
    of_games: "{figure} of {n}",
    as_good_as: "{n} (as good as {effective})",
    next_slips: "{low} to {high}",
    too_few: "too few games ({n})",
    only_few: "only {n} games",
    no_games: "no games",
    no_bait: "none: the slip is the first move",

    title: "Opening traps",
    by: "By {author}",
    for_whom: "For {level}",
    counted_from: "Figures from {games} rated games, {months}; opponents and students {ratings}.",
    one_month: "{month}",
    months_from_to: "{first} to {last}",
    level_all: "of all ratings",
    level_below: "below {below}",
    level_from: "from {from} up",
    level_between: "from {from} to {to}",
    in_paces: "{ratings} in {paces}",

    summary: "The traps in teaching order",
    room: "A lesson of an hour has room for about {traps} traps: {minutes} minutes each, and a quarter of an hour for the quiz.",
    begin_one: "Begin with trap {number}.",
    begin_several: "Begin with traps {numbers}. They fill {lessons}.",
    begin_undecided: "The games tell too little to advise any of these traps; beside each stands what would decide.",
    begin_none: "None of these traps is worth a lesson at this level.",
    one_lesson: "one lesson",
    several_lessons: "{n} lessons",
    number: "No.",
    trap: "Trap",
    side_head: "For",
    reach: "Reached when played for",
    slips: "Opponents who slip",
    found: "Players who find the refutation",
    net: "Gain, points per 1000 games",
    ahead_head: "Slips in your next {games} games",
    verdict: "How often",
    rank_note: "Ordered by the advice, then by the lower end of the gain where it is known. The gain prices the last move before the slip; what you \
chose before, such as a gambit, is not in it. Behind the slips to expect stands the range that 19 of 20 such students will see.",
    read_heading: "How to read the figures",
    read_interval: "Numbers in brackets are the 95\u{a0}% margin of error. \"62\u{a0}% [58,\u{a0}66] of 1,204\" was counted in 1,204 \
games; the true share lies between 58 and 66\u{a0}%, nineteen times in twenty.",
    read_as_good_as: "Players come again and repeat their moves, so many games of few players tell less than as many games of different \
ones. \"1,204 (as good as 900)\" has the margin of 900 games of different players.",
    read_edge: "The edge is how much better than the ratings promise a side scores, in points per 100 games; 0 is an ordinary \
game.",
    read_net: "The gain compares laying the trap with the usual move instead, slips and good answers taken together, over \
1000 games in which you play for it.",
    read_level: "A trap comes up often from {common} slips in 1000 games that play for it, now and then from {occasional}. A share of \
fewer games than {sample} of different players shows its count and its margin and no value, as in \"13 of 43 [19,\u{a0}46]\u{a0}%\"; other figures \
of so few are left out.",

    advice: "What to do",
    advice_codes: ["teach it", "teach the other side", "undecided", "skip it"],
    advise_teach: "Teach it.",
    advise_both: "Teach it, from both sides: players {level} fall for it themselves, {own} times in 1000 of their games as {victim}.",
    advise_warn: "Teach the other side: players {level} fall for it themselves, {own} times in 1000 of their games as {victim}.",
    advise_warn_but: "Teach the other side: players {level} fall for it themselves, {own} times in 1000 of their games as {victim}; {why}.",
    advise_skip: "Skip it: {why}.",
    advise_undecided: "Undecided: {why}.",
    short_skip: "Skip it",
    against_rare: "it hardly ever comes up, even if you always play for it",
    against_gain: "laying it scores no better than the usual move",
    against_slip: "the marked move does not lose ({pawns} pawns)",
    against_gamble: "it is a gamble, you stand at {pawns} if they do not fall for it",
    open_often: "too few games to say how often it comes up",
    open_gain: "too few games to say whether it pays",
    open_both: "too few games to say how often it comes up and whether it pays",
    open_not_laid: "whether laying it pays is open",
    open_games: "about {games} games {level} as {victim} would tell (there are {known})",
    open_games_at_least: "at least {games} games {level} as {victim} would tell (there are {known})",
    open_near: "no month of games would tell, it is too close",
    open_none: "so far none of the {known} games {level} as {victim} tells",
    open_wider: "the games of players {level} tell more",
    open_engine: "nothing says whether the slip loses, so ask an engine",
    sound_column: "Sound?",
    sound_loses: "the slip loses {pawns} pawns",
    sound_mate: "the slip allows mate in {moves}",
    sound_without: "without it {side} is at {pawns}",
    sound_evals: "{n} and {m} evaluations in the games",
    sound_engine: "an engine",
    other_slip: "The slip {move}: {share} play it; what refutes it: {refutations}.",
    other_refutation: "{move} refutes it too: {share} find it.",
    other_ways: "The position also comes up after {line}; what is said of the way is about the line above.",

    trap_for: "A trap for {side}",
    opening: "{name}, {eco}",
    trap_intro: "Does it work?",
    reached_one_in: "If you play for it, one in {n} of your games as {side} comes to this position ({share}).",
    reached_share: "If you play for it, {share} of your games as {side} come to this position.",
    reached_always: "Each of your games as {side} can reach this position: the opponent has no choice before it.",
    reached_never: "None of your games as {side} would come to this position: opponents {level} never played {move} here.",
    reached_unknown: "How many of your games as {side} come to this position can't be said: {why}.",
    slipped: "Of opponents {level}, {share} then play the losing move {move}.",
    slipped_several: "Of opponents {level}, {share} then play a losing move ({move}).",
    slipped_unknown: "How many opponents {level} play the losing move {move} can't be said: {why}.",
    refuted: "Of players {level}, {share} find the refutation {move}.",
    refuted_several: "Of players {level}, {share} find a refutation ({move}).",
    refuted_unknown: "How many players {level} find the refutation can't be said: {why}.",
    netted: "Laying it brings {points} points per 1000 games.",
    netted_usual: "Laying it instead of the usual {usual} brings {points} points per 1000 games.",
    netted_unknown: "Whether it scores better than the usual move can't be said: {why}.",
    met_one_in: "If your own moves follow the line, one in {n} of your games as {side} comes to this position ({share}).",
    met_share: "If your own moves follow the line, {share} of your games as {side} come to this position.",
    met_always: "The opponent has no choice before it: your own moves alone lead to this position.",
    met_never: "Opponents {level} never played {move} here, so none of your games as {side} would come to this position.",
    met_unknown: "How many of your games as {side} come to this position can't be said: {why}.",
    fallen: "Of players {level}, {share} then play the losing move {move}.",
    fallen_several: "Of players {level}, {share} then play a losing move ({move}).",
    fallen_unknown: "How many players {level} play the losing move {move} can't be said: {why}.",
    punished: "Of opponents {level}, {share} find the answer {move}.",
    punished_unknown: "How many opponents {level} find the answer can't be said: {why}.",
    costs: "It goes with a score of {points} points per 100 games against what the ratings promise.",
    costs_unknown: "What it costs can't be said: {why}.",
    learn: "Learn it: players {level} fall for it {own} times in 1000 of their games as {side}.",
    learn_less: "It catches players {level} {own} times in 1000 of their games as {side}: know the answer, and spend the time elsewhere.",
    learn_open: "It catches players {level} {own} times in 1000 of their games as {side}; go through it with an engine before you \
spend time on it: the games do not prove that the move loses.",
    learn_unknown: "How often it catches players {level} as {side} can't be said: {why}.",
    short_learn: "Learn it",
    short_open: "Check it first",
    trap_against: "A trap against {side}",
    victim_title: "Opening traps to stay out of",
    victim_summary: "The traps, those first that catch most",
    victim_intro: "Does it catch us?",
    victim_rank_note: "Ordered by how often players fall in all their games of that colour. \"Comes up\" counts games in which your own \
moves follow the line.",
    comes_up: "Comes up",
    falls: "Players who fall for it",
    punishes: "Opponents who find the answer",
    cost: "Score with the slip, points per 100 games",
    instead: "What to play instead",
    instead_intro: "What players {level} play here as {side}, best score first; edge is how much better than the ratings promise they \
score.",
    instead_none: "No game {level} comes to this position.",
    instead_move: "{side} plays",
    instead_slip: "the slip",
    avoid: "How to stay out of it",
    avoid_none: "No earlier choice is known to be better.",
    avoid_before: "Instead of {move}: {moves}.",
    begin_learn_none: "The games do not tell of any of these traps that it catches many players at this level.",
    ahead: "Play for it in your next {games} games as {side} and expect {expected} slips: 19 of 20 such students will see {range}. The chance of at least one is {chance}.",
    ahead_unknown: "What to expect of your next {games} games can't be said: {why}.",
    so: "It comes up {codes} {level}, if you always play for it.",
    so_unknown: "Too few games {level} to say how often it comes up.",
    the_line: "The line",
    remark_first: "of opponents {level}, {share} play this",
    remark_next: "{share}",
    remark_slip: "the slip: of opponents {level}, {share} play this",
    remark_refutation: "the refutation: of players {level}, {share} find it",
    remark_few: "too few games ({n})",
    diagram: "Diagram {number}",
    diagram_trap: "After {move}. Will {side} fall for it?",
    diagram_slip: "After the slip {move}. What does {side} play?",
    diagram_refutation: "After the refutation {move}.",
    diagram_end: "The end of the line, after {move}.",
    to_move: "{side} to move",
    last_move: "The last move went from {from} to {to}.",
    last_moved: "{side} has just played {move}.",
    mates: "Checkmate.",

    by_rating: "By rating",
    chart_note: "Bars lie over the ratings of whoever has to choose, neighbours with few games joined; whiskers are 95\u{a0}% margins. \
One without a mark rests on fewer games than {sample} of different players.",
    chart_alt: "Slip rate and find rate by rating, in percent.",
    chart_slip_band: "{band}: {share} slip.",
    chart_find_band: "{band}: {share} find the refutation.",
    chart_none: "No game of these ratings comes to the position.",
    chart_x: "rating of whoever chooses",
    chart_slips: "play {move}.",
    chart_finds: "answer {move}.",
    chart_counts_slip: "opponents",
    chart_counts_find: "players",
    band: "{from} to {to}",

    way: "Where the games go",
    way_title: "Where games {level} go from the first move to the slip",
    way_caption: "All games of players {level}, from the first move down; width: share of the games. Beside each row: how many of those who \
come so far play the move.",
    way_key: "the way of the trap",
    way_slip: "the slip",
    way_more: "{n} more",

    by_pace: "By pace",
    pace: "Pace",
    games_here: "Games here",
    not_slip: "When they do not fall for it",
    not_slip_none: "No other answer has enough games to speak of.",
    not_slip_intro: "The most played answers that {side} has instead, your edge after them, and what to play then.",
    answer: "{side} plays",
    played: "How many",
    your_edge: "Your edge",
    usual_reply: "Usual reply",
    best_reply: "Reply with the best score",
    same_reply: "the same",
    game_over: "none seen",
    too_few_to_tell: "too few games",
    undated: "undated",
    other_side: "When you are on the other side",
    other_side_intro: "As {side} in the position of the first diagram of this trap these moves do best, with how much better than the \
ratings promise {side} scores (edge):",
    other_side_move: "{move}: edge {edge} in {n} games",
    other_side_slip: "not {move}: edge {edge} in {n} games",
    other_side_unknown: "No move but the slip has enough games to be recommended to {side} here.",
    price: "What the trap costs when nobody falls for it: {points} points per 100 games against the usual move.",
    price_unknown: "What the trap costs when nobody falls for it can't be said: {why}.",
    rests_on: "What this rests on",
    rests_games: "{here} games {level} with the trap position, out of {all} games of {months} in {dumps}.",
    one_dump: "one dump",
    several_dumps: "{n} dumps",
    rests_paces: "They are {paces}.",
    rests_verdict: "Soundness: {verdict}.",
    rests_evals: "By the evaluations that stand in the games, {side} is at {after} pawns after the slip ({n} evaluations) and at \
{without} after the best other move ({m}).",
    rests_mate: "A search has proved a forced mate in {moves} after the slip.",
    rests_no_mate: "A search has found no forced mate after the slip.",
    rests_engine: "An engine sees {side} at {after} pawns after the slip and at {without} after the best defence.",
    rests_no_evals: "Too few games carry evaluations there to say more.",
    rests_no_engine: "No engine was asked; go through the line with one before you teach it.",
    rests_lack: "Up to {n} games may be missing from a position of the line.",
    rests_mixed: "Where few players of one rating reached a move, the ratings with few games were taken together.",

    safe_quiz: "Quiz: safe or a slip?",
    safe_intro: "You would like to play the move below each board. Is it safe, or a slip? If it is a slip, write down what the opponent \
answers.",
    safe_ask: "{side} would like to play {move}",
    safe_answer: "Safe or a slip?",
    is_slip: "{move} is a slip: {reply}.",
    is_safe: "{move} is safe. The slip here is {slip}.",
    is_safe_edge: "Its edge is {edge} in {n} games.",
    better: "Better is {move}: edge {edge} in {n} games.",
    handout_title: "For the pupils",
    remember: "Remember: after {slip} play {reply}!",
    remember_victim: "Remember: never {slip}; {reply} wins.",
    remember_victim_better: "Remember: never {slip}; {reply} wins. Play {better}.",
    card_safe: "Is it safe, or a slip?",
    quiz: "Quiz: what would you play?",
    quiz_intro: "The opponent has just gone wrong. Write down your move, and what you answer to the best defence.",
    quiz_ask: "{side} to move",
    your_move: "Your move:",
    solutions: "Solutions",
    solution_find: "Of players {level}, {share} find {move}.",
    solution_also: "{moves} wins as well.",
    see_trap: "Trap {number}",
    notes_heading: "What the figures cannot know",
    notes: &[
        "Differences in score go with a move; they are not proved to come from it. Who knows a refutation may be stronger \
than the rating says.",
        "Ratings are taken as given. That players come again is in the margins; that they learn, or that others play next month, \
is not.",
        "Among many traps some look good by luck.",
        "Prepare with this before a game, never during one.",
    ],
    incomplete: "Not read to its end: {names}.",
    limits: "Counted are the first {half_moves} half-moves of each game; positions with fewer than {keep_from} games were \
dropped.",

    pgn_trap: "A trap for {setter}. {advice} {reach} {slip} {find} {net} {ahead}",
    pgn_other: "Of opponents {level}, {share} play this; edge of {setter} {edge}.",
    pgn_usual_reply: "The usual reply: {share}.",
    pgn_usual: "Usual instead of {bait}; edge {edge}.",
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_follow_the_language() {
        let other = Language { thousands: ".", decimal: ",", ..ENGLISH };
        assert_eq!(
            (other.fixed(-1234.5, 1), other.count(12_345)),
            ("−1.234,5".into(), "12.345".into())
        );
    }

    #[test]
    fn months_are_named() {
        let months = |first, last| ENGLISH.months(Some(first), Some(last));
        assert_eq!(months("2031-05-01", "2031-05-31"), "May 2031");
        assert_eq!(months("2031-05-01", "2032-01-31"), "May 2031 to January 2032");
        assert_eq!([months("2031-13-01", "x"), ENGLISH.months(None, None)], [ENGLISH.undated; 2]);
    }

    #[test]
    fn the_braces_of_every_template_match() {
        for text in ENGLISH.all() {
            let depth = text.chars().try_fold(0i32, |depth, letter| match (letter, depth) {
                ('{', 0) => Some(1),
                ('}', 1) => Some(0),
                ('{' | '}', _) => None,
                _ => Some(depth),
            });
            assert_eq!(depth, Some(0), "{text}");
        }
    }

    #[test]
    fn lists_read_as_sentences() {
        assert_eq!(ENGLISH.list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(ENGLISH.list(&["a"]), "a");
    }
}
