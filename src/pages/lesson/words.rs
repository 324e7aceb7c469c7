//! What a lesson says, in one table a language: another language is another value of
//! [`Language`].

use shakmaty::{Color, Role};

use super::text::fill;
use crate::answers::trap::{AdviceCode, Code, NextSlips, SoundnessCode};
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
            /// Sound, a gamble, no slip, no evidence.
            pub soundness: [&'static str; 4],
            /// Teach, warn, undecided, skip.
            pub advice_codes: [&'static str; 4],
            /// Notes below the lesson.
            pub notes: &'static [&'static str],
            $(pub $name: &'static str,)*
        }

        impl Language {
            /// Every template and word.
            #[cfg(test)]
            pub(super) fn all(&self) -> Vec<&'static str> {
                let lists = self.months.into_iter().chain(self.paces).chain(self.codes);
                let lists = lists.chain(self.advice_codes).chain(self.soundness).chain(self.roles.into_iter().flatten());
                lists.chain(self.notes.iter().copied()).chain([$(self.$name),*]).collect()
            }
        }
    };
}

language! {
    code, thousands, decimal, percent, minus, and, or, white, black, of_games, as_good_as, next_slips,
    too_few, only_few, no_games, no_bait,
    title, by, for_whom, counted_from, one_month, months_from_to,
    level_all, level_below, level_from, level_between, in_paces,
    summary, room, begin_one, begin_several, begin_undecided, begin_none, one_lesson, several_lessons, number, trap, side_head, reach, slips, found, net,
    ahead_head, verdict, rank_note, read_heading, read_interval, read_as_good_as, read_edge, read_net, read_level,
    advice, advise_teach, advise_both, advise_warn, advise_warn_but, advise_skip, advise_undecided,
    short_skip,
    against_rare, against_gain, against_slip, against_gamble,
    open_often, open_gain, open_both, open_not_laid, open_games, open_games_at_least, open_near, open_none, open_wider, open_engine,
    sound_column, sound_loses, sound_mate, sound_without, sound_evals, sound_engine,
    other_slip, other_refutation, other_ways,
    trap_for, opening, trap_intro,
    reached_one_in, reached_share, reached_always, reached_never, reached_unknown,
    slipped, slipped_several, slipped_unknown, refuted, refuted_several, refuted_unknown, netted, netted_usual, netted_unknown,
    met_one_in, met_share, met_always, met_never, met_unknown, fallen, fallen_several, fallen_unknown, punished, punished_unknown,
    costs, costs_unknown, learn, learn_less, learn_open, learn_unknown, short_learn, short_open, trap_against, victim_title, victim_summary, victim_intro, victim_rank_note,
    comes_up, falls, punishes, cost, instead, instead_intro, instead_none, instead_move, instead_slip, avoid, avoid_before, avoid_none,
    begin_learn_none,
    ahead, ahead_unknown, so, so_unknown, the_line,
    remark_first, remark_next, remark_slip, remark_refutation, remark_few,
    diagram, diagram_trap, diagram_slip, diagram_refutation, diagram_end,
    to_move, last_move, last_moved, mates,
    by_rating, chart_note, chart_alt, chart_slip_band, chart_find_band, chart_none,
    way, way_title, way_caption, way_key, way_slip, way_more, chart_x,
    chart_slips, chart_finds, chart_counts_slip, chart_counts_find, band,
    by_pace, pace, games_here,
    not_slip, not_slip_none, not_slip_intro, answer, played, your_edge, usual_reply, best_reply,
    same_reply, game_over, too_few_to_tell, undated,
    other_side, other_side_intro, other_side_move, other_side_slip, other_side_unknown, price, price_unknown,
    rests_on, rests_games, one_dump, several_dumps, rests_paces, rests_verdict, rests_evals, rests_mate, rests_no_mate, rests_engine, rests_no_evals, rests_no_engine, rests_lack, rests_mixed,
    safe_quiz, safe_intro, safe_ask, safe_answer, is_slip, is_safe, is_safe_edge, better,
    handout_title, remember, remember_victim, remember_victim_better,
    card_safe,
    quiz, quiz_intro, quiz_ask, your_move, solutions, solution_find, solution_also, see_trap,
    notes_heading, incomplete, limits,
    pgn_trap, pgn_other, pgn_usual_reply, pgn_usual,
}

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

    /// One or two pieces of advice.
    pub(super) fn advice(&self, codes: &[AdviceCode]) -> String {
        let name = |code: &AdviceCode| match code {
            AdviceCode::Teach => self.advice_codes[0],
            AdviceCode::Warn => self.advice_codes[1],
            AdviceCode::Undecided => self.advice_codes[2],
            AdviceCode::Skip => self.advice_codes[3],
        };
        self.list(&codes.iter().map(name).collect::<Vec<_>>())
    }

    /// How many slips most students will see.
    pub(super) fn next_slips(&self, NextSlips { low, high }: NextSlips) -> String {
        fill(self.next_slips, &[("low", self.count(low)), ("high", self.count(high))])
    }

    /// A verdict on soundness.
    pub(super) fn soundness(&self, code: SoundnessCode) -> &'static str {
        match code {
            SoundnessCode::Sound => self.soundness[0],
            SoundnessCode::Gamble => self.soundness[1],
            SoundnessCode::NoSlip => self.soundness[2],
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
    pub(super) fn list<S: AsRef<str>>(&self, items: &[S]) -> String {
        joined(items, self.and)
    }

    /// `a, b or c`.
    pub(super) fn either<S: AsRef<str>>(&self, items: &[S]) -> String {
        joined(items, self.or)
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

fn joined<S: AsRef<str>>(items: &[S], last_by: &str) -> String {
    let items: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
    match items.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{}{last_by}{last}", rest.join(", ")),
        None => String::new(),
    }
}
