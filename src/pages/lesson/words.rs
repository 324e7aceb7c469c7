//! All wording of a lesson in one table a language: another language is another value of
//! [`Language`].
//!
//! Slots stand in braces. Moves keep the English letters of the PGN standard, so that page and PGN
//! file agree.

use shakmaty::{Color, Role};

use super::text::fill;
use crate::answers::trap::{Code, NextSlips, SoundnessCode};
use crate::pages::numbers;
use crate::terms::{BandRange, MoverFilter, Pace};

macro_rules! language {
    ($($name:ident),* $(,)?) => {
        /// The wording of one language; every field is a word, or a template with slots in braces.
        #[derive(Debug)]
        #[expect(missing_docs, reason = "the wording says what each is for")]
        pub struct Language {
            /// Names of the months.
            pub months: [&'static str; 12],
            /// King, queen, rook, bishop, knight, pawn: one and several.
            pub roles: [[&'static str; 2]; 6],
            /// Bullet, blitz, rapid, classical, correspondence, unknown.
            pub paces: [&'static str; 6],
            /// Common, occasional, rare, too few games.
            pub codes: [&'static str; 4],
            /// Sound, playable, unsound, no evidence.
            pub soundness: [&'static str; 4],
            /// Notes below the lesson.
            pub notes: &'static [&'static str],
            $(pub $name: &'static str,)*
        }

        impl Language {
            /// Every template and word.
            #[cfg(test)]
            fn all(&self) -> Vec<&'static str> {
                let lists = self.months.into_iter().chain(self.paces).chain(self.codes);
                let lists = lists.chain(self.soundness).chain(self.roles.into_iter().flatten());
                lists.chain(self.notes.iter().copied()).chain([$(self.$name),*]).collect()
            }
        }
    };
}

language! {
    code, thousands, decimal, percent, minus, and, or, white, black, of_games, as_good_as, next_slips,
    too_few, no_bait,
    title, by, for_whom, counted_from, one_month, months_from_to,
    level_all, level_below, level_from, level_between, in_paces,
    summary, room, begin_one, begin_several, begin_none, one_lesson, several_lessons, number, trap, side_head, reach, slips, found, net,
    ahead_head, verdict, rank_note, read_heading, read_interval, read_as_good_as, read_edge, read_net, read_level,
    trap_for, opening, trap_intro,
    reached_one_in, reached_share, reached_always, reached_never, reached_unknown,
    slipped, slipped_unknown, refuted, refuted_unknown, netted, netted_usual, netted_unknown,
    ahead, ahead_unknown, so, the_line,
    remark_first, remark_next, remark_slip, remark_refutation, remark_few,
    diagram, diagram_trap, diagram_slip, diagram_refutation, diagram_end,
    to_move, last_move, last_moved, mates,
    by_rating, chart_note, chart_alt, chart_band, chart_none, chart_x,
    chart_slips, chart_finds, chart_counts_slip, chart_counts_find, chart_thin, band,
    by_pace, pace, games_here,
    not_slip, not_slip_none, not_slip_intro, answer, played, your_edge, usual_reply, best_reply,
    same_reply, game_over, too_few_to_tell, undated,
    other_side, other_side_intro, other_side_move, other_side_slip, other_side_unknown, price, price_unknown,
    rests_on, rests_games, one_dump, several_dumps, rests_paces, rests_verdict, rests_evals, rests_mate, rests_no_mate, rests_engine, rests_no_evals, rests_no_engine, rests_lack, rests_mixed,
    quiz, quiz_intro, quiz_ask, your_move, solutions, solution_find, see_trap,
    notes_heading, incomplete, limits,
    pgn_trap, pgn_other, pgn_usual_reply, pgn_usual,
}

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
    codes: ["common", "occasional", "rare", "too few games"],
    soundness: ["sound", "playable", "unsound", "not known"],
    and: " and ",
    or: " or ",
    white: "White",
    black: "Black",
    of_games: "{figure} of {n}",
    as_good_as: "{n} (as good as {effective})",
    next_slips: "{low} to {high}",
    too_few: "too few games ({n})",
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
    begin_one: "Begin with trap {number}: its gain lies above zero with its whole margin.",
    begin_several: "Begin with traps {numbers}: their gain lies above zero with its whole margin. They fill {lessons}.",
    begin_none: "For none of these traps does the whole margin of the gain lie above zero: show them so that nobody falls for \
them, rather than as weapons.",
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
    rank_note: "Ordered by the lower end of the gain; without a figure last. The gain prices the last move before the slip; what you \
chose before, such as a gambit, is not in it. Behind the slips to expect stands the range that 19 of 20 such students will see.",
    read_heading: "How to read the figures",
    read_interval: "Numbers in brackets are the 95\u{a0}% margin of error. \"62\u{a0}% [58,\u{a0}66] of 1,204\" was counted in 1,204 \
games; the true share lies between 58 and 66\u{a0}%, nineteen times in twenty.",
    read_as_good_as: "Players come again and repeat their moves, so many games of few players tell less than as many games of different \
ones. \"1,204 (as good as 900)\" has the margin of 900 games of different players.",
    read_edge: "The edge is what a side scores beyond what its ratings promise, in points per 100 games; 0 is an ordinary \
game.",
    read_net: "The gain compares laying the trap with the usual move instead, slips and good answers taken together, over \
1000 games in which you play for it.",
    read_level: "A trap is common from {common} slips per 1000 games that play for it, occasional from {occasional}. A share of \
fewer games than {sample} of different players shows its count and its margin and no value, as in \"13 of 43 [19,\u{a0}46]\u{a0}%\"; other figures \
of so few are left out.",

    trap_for: "A trap for {side}",
    opening: "{name}, {eco}",
    trap_intro: "Does it work?",
    reached_one_in: "If you play for it, one in {n} of your games as {side} reaches this position ({share}).",
    reached_share: "If you play for it, {share} of your games as {side} reach this position.",
    reached_always: "Each of your games as {side} can reach this position: the opponent has no choice before it.",
    reached_never: "None of your games as {side} would reach this position: opponents {level} never played {move} here.",
    reached_unknown: "How many of your games as {side} reach this position is not known: {why}.",
    slipped: "Of opponents {level}, {share} then play the losing move {move}.",
    slipped_unknown: "How many opponents {level} play the losing move {move} is not known: {why}.",
    refuted: "Of players {level}, {share} find the refutation {move}.",
    refuted_unknown: "How many players {level} find the refutation is not known: {why}.",
    netted: "Laying it goes with a gain of {points} points per 1000 games.",
    netted_usual: "Laying it instead of the usual {usual} goes with a gain of {points} points per 1000 games.",
    netted_unknown: "What laying it gains is not known: {why}.",
    ahead: "Play for it in your next {games} games as {side} and expect {expected} slips: 19 of 20 such students will see {range}. The chance of at least one is {chance}.",
    ahead_unknown: "What to expect of your next {games} games is not known: {why}.",
    so: "How often, {level}: {codes}.",
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
    chart_note: "Each rating is that of whoever has to choose. Whiskers are 95\u{a0}% margins. A margin \
without a mark rests on fewer games than {sample} of different players.",
    chart_alt: "Slip rate and find rate by rating, in percent.",
    chart_band: "{band}: slip {slip}, found {find}.",
    chart_none: "No game of these ratings comes to the position.",
    chart_x: "rating of whoever chooses (from, 100 points wide)",
    chart_slips: "slip rate: opponents who play {move}",
    chart_finds: "find rate: players who answer {move}",
    chart_counts_slip: "opponents",
    chart_counts_find: "players",
    chart_thin: "too few ({n})",
    band: "{from} to {to}",

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
    other_side_intro: "As {side} in the position of the first diagram of this trap these moves do best, with what {side} scores \
beyond the ratings:",
    other_side_move: "{move}: edge {edge} in {n} games",
    other_side_slip: "not {move}: edge {edge} in {n} games",
    other_side_unknown: "No move but the slip has enough games to be recommended to {side} here.",
    price: "What the trap costs when nobody falls for it: {points} points per 100 games against the usual move.",
    price_unknown: "What the trap costs when nobody falls for it is not known: {why}.",
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
    rests_mixed: "Rating bands with fewer than 50 games at a move on the way were taken together there.",

    quiz: "Quiz: what would you play?",
    quiz_intro: "The opponent has just gone wrong. Write down your move, and what you answer to the best defence.",
    quiz_ask: "{side} to move",
    your_move: "Your move:",
    solutions: "Solutions",
    solution_find: "Of players {level}, {share} find {move}.",
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

    pgn_trap: "A trap for {setter}. {reach} {slip} {find} {net} {ahead}",
    pgn_other: "Of opponents {level}, {share} play this; edge of {setter} {edge}.",
    pgn_usual_reply: "The usual reply: {share}.",
    pgn_usual: "Usual instead of {bait}; edge {edge}.",
};

impl Language {
    /// An integer, its digits in threes.
    pub(in crate::pages) fn count(&self, n: u64) -> String {
        numbers::count(n).replace(',', self.thousands)
    }

    /// A number with a fixed number of decimals and no sign but a minus.
    pub(in crate::pages) fn fixed(&self, x: f64, decimals: usize) -> String {
        self.written(&numbers::fixed(x, decimals))
    }

    /// The same with a plus where positive.
    pub(super) fn signed(&self, x: f64, decimals: usize) -> String {
        self.written(&numbers::signed(x, decimals))
    }

    fn written(&self, english: &str) -> String {
        let letter = |c: char| match c {
            ',' => self.thousands.to_owned(),
            '.' => self.decimal.to_owned(),
            '-' => self.minus.to_owned(),
            c => c.to_string(),
        };
        english.chars().map(letter).collect()
    }

    /// White or Black.
    pub(in crate::pages) fn side(&self, color: Color) -> &'static str {
        color.fold_wb(self.white, self.black)
    }

    /// The name of a piece, in the plural for several.
    pub(super) fn role(&self, role: Role, count: usize) -> &'static str {
        let place = match role {
            Role::King => 0,
            Role::Queen => 1,
            Role::Rook => 2,
            Role::Bishop => 3,
            Role::Knight => 4,
            Role::Pawn => 5,
        };
        self.roles[place][usize::from(count > 1)]
    }

    /// The name of a pace.
    pub(super) fn pace(&self, pace: Pace) -> &'static str {
        self.paces[pace.index()]
    }

    /// One or two classes of a verdict.
    pub(super) fn verdict(&self, codes: &[Code]) -> String {
        let name = |code: &Code| match code {
            Code::Common => self.codes[0],
            Code::Occasional => self.codes[1],
            Code::Rare => self.codes[2],
            Code::TooFewGames => self.codes[3],
        };
        codes.iter().map(name).collect::<Vec<_>>().join(self.or)
    }

    /// How many slips most students will see.
    pub(super) fn next_slips(&self, NextSlips { low, high }: NextSlips) -> String {
        fill(self.next_slips, &[("low", self.count(low)), ("high", self.count(high))])
    }

    /// A verdict on soundness.
    pub(super) fn soundness(&self, code: SoundnessCode) -> &'static str {
        match code {
            SoundnessCode::Sound => self.soundness[0],
            SoundnessCode::Playable => self.soundness[1],
            SoundnessCode::Unsound => self.soundness[2],
            SoundnessCode::Unknown => self.soundness[3],
        }
    }

    /// `below 2000`, `from 1200 to 1599 in blitz`: behind the noun that it is about.
    pub(in crate::pages) fn level(&self, filter: MoverFilter) -> String {
        let BandRange { from, below } = filter.bands;
        let number = |rating: u16| rating.to_string();
        let ratings = match (from == 0, below == BandRange::ALL.below) {
            (true, true) => self.level_all.to_owned(),
            (true, false) => fill(self.level_below, &[("below", number(below))]),
            (false, true) => fill(self.level_from, &[("from", number(from))]),
            (false, false) => {
                fill(self.level_between, &[("from", number(from)), ("to", number(below - 1))])
            }
        };
        if filter.paces.is_all() {
            return ratings;
        }
        let paces: Vec<&str> = filter.paces.paces().map(|pace| self.pace(pace)).collect();
        fill(self.in_paces, &[("ratings", ratings), ("paces", self.list(&paces))])
    }

    /// `a, b and c`.
    pub(in crate::pages) fn list<S: AsRef<str>>(&self, items: &[S]) -> String {
        let items: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
        match items.split_last() {
            Some((last, [])) => (*last).to_owned(),
            Some((last, rest)) => format!("{}{}{last}", rest.join(", "), self.and),
            None => String::new(),
        }
    }

    /// The months of two dates such as `2031-05-17`: `May 2031 to July 2031`; the word for no date without them.
    pub(in crate::pages) fn months(&self, first: Option<&str>, last: Option<&str>) -> String {
        let month = |date: &str| {
            let (year, rest) = date.split_once('-')?;
            let number: usize = rest.get(..2)?.parse().ok()?;
            Some(format!("{} {year}", self.months.get(number.checked_sub(1)?)?))
        };
        match first.and_then(month).zip(last.and_then(month)) {
            None => self.undated.to_owned(),
            Some((first, last)) if first == last => fill(self.one_month, &[("month", first)]),
            Some((first, last)) => fill(self.months_from_to, &[("first", first), ("last", last)]),
        }
    }
}

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
