//! Everything that a language has to say. A language is a value of [`Language`], in files of its
//! own: the compiler asks for each phrase, and for just the slots that stand beside its name here.

use maud::{Markup, Render, html};
use shakmaty::Color;

use super::slots::{check, check_if_any, filled};
use super::wording::phrases;
use crate::terms::MoverFilter;

phrases! {
    /// The wording of one language. A word has no slots; what is counted has a wording for one and
    /// another for several; a sentence has slots in braces.
    Language of itself {
        /// What it is called among the languages of the world (ISO 639).
        code: &'static str,
        /// What it is called in English.
        name: &'static str,
        /// What its speakers call it.
        own_name: &'static str,
        /// King, queen, rook, bishop, knight, as letters of a move (PGN standard, section 17).
        pieces: [char; 5],
        /// Whether so many are counted as one.
        is_one: fn(u64) -> bool,
        /// The fewest digits of a number that are parted into threes.
        parted_from: usize,
        /// King, queen, rook, bishop, knight, pawn: one and several.
        roles: [[&'static str; 2]; 6],
        /// Of the student's page.
        student: StudentPhrases,
    }
    lists {
        months[12],
        // Bullet, blitz, rapid, classical, correspondence, unknown.
        paces[6],
        // Common, occasional, rare, too few games.
        codes[5],
        // Sound, a gamble, no slip, no evidence.
        soundness[4],
        // Teach, warn, undecided, skip.
        advice_codes[4],
        // Below the lesson.
        notes[4],
        // Opponents, players: who comes to a move; the same behind "of".
        who[2], of_whom[2],
        // Who slips and who finds the refutation, where the lesson is for those who lay the trap
        // and for those who face it.
        slips[2], found[2],
        // What the slip is: a losing move, and a marked one where it is not known to lose.
        a_move[2], the_move[2],
    }
    words {
        thousands, decimal, percent, minus, and, or, white, black,
        // Between the ends of an interval, parts of a sentence, a word and what is said of it.
        between, semicolon, colon,
        no_games, no_bait,
        title, level_all, all_paces,
        summary, begin_undecided, begin_none, begin_other, begin_learn_none, number, trap, reach, net, verdict, rank_note,
        read_heading, read_interval, read_as_good_as, read_edge, read_net,
        advice, advise_teach, short_skip, short_learn, short_open, short_few, no_trap,
        against_rare, against_gain, open_often, open_gain, open_both, open_not_laid, open_never, open_cost, open_near, open_engine,
        sound_column, sound_engine,
        trap_intro, the_line, mates, mate_not_forced, met_always,
        victim_title, victim_summary, victim_intro, victim_rank_note, comes_up, own_column, cost,
        instead, instead_slip, avoid, avoid_none, avoid_few,
        by_rating, chart_alt, chart_none, chart_x,
        way, way_key, way_slip, way_zoom,
        over, over_comes_up, over_slip, over_refute, over_slips, over_unclear, below_not,
        by_pace, pace, games_here,
        not_slip, not_slip_none, played, your_edge, usual_reply, reply_worse, best_reply, game_over, too_few_to_tell, undated,
        other_side,
        rests_on, rests_no_evals, rests_no_engine, rests_mixed,
        safe_quiz, safe_intro, safe_answer, card_safe, handout_title, after_quiz, board_signs, briefly,
        not_lost,
        quiz, quiz_intro, quiz_intro_open, not_known, your_move, solutions, notes_heading,
    }
    counted {
        games, few_games, dumps, lessons, more, lacking,
    }
    sentences {
        of_games(figure: Markup, n: Markup),
        as_good_as(n: u64, effective: u64),
        next_slips(low: u64, high: u64),
        too_few(n: u64),
        not_counted(so_far: u64, needed: u64),
        too_few_as_good(n: u64, effective: u64),
        month(name: &str, year: &str),
        date(year: &str, month: &str, day: &str),
        months_from_to(first: &str, last: &str),
        some_undated(months: &str, n: u64),
        level_below(below: &str),
        level_from(from: &str),
        level_between(from: &str, to: &str),
        in_paces(ratings: &str, paces: &str),
        rated_below(below: &str),
        rated_from(from: &str),
        rated_between(from: &str, to: &str),

        by(author: &str),
        for_whom(level: &str),
        counted_from(games: u64, months: &str, ratings: MoverFilter),
        room(traps: u64, minutes: u64),
        begin_one(number: &str),
        begin_several(numbers: &str, lessons: &str),
        begin_besides(numbers: &str),
        ahead_head(games: u64),
        read_level(common: &str, occasional: &str, sample: u64),

        advise_both(level: MoverFilter, own: Markup, victim: Color),
        advise_warn(level: MoverFilter, own: Markup, victim: Color),
        advise_warn_but(level: MoverFilter, own: Markup, victim: Color, why: &str),
        advise_skip(why: &str),
        advise_undecided(why: &str),
        against_slip(pawns: &str),
        against_gamble(pawns: &str),
        against_worse(pawns: &str),
        bait_errs(bait: San, pawns: &str, n: u64),
        open_games(games: u64, level: MoverFilter, victim: Color, known: u64),
        open_games_at_least(games: u64, level: MoverFilter, victim: Color, known: u64),
        open_times(times: u64),
        open_times_at_least(times: u64),
        open_few(games: &str),
        open_none(level: MoverFilter, victim: Color),
        open_only(level: MoverFilter, side: Color, mv: San),
        open_no(level: MoverFilter, side: Color, mv: San),
        open_without(side: Color),
        own_slips(level: MoverFilter, own: Markup, victim: Color),
        open_wider(level: MoverFilter),
        sound_loses(pawns: Markup),
        sound_mate(moves: u64),
        sound_half(loses: Markup, side: Color),
        sound_without(side: Color, pawns: Markup),
        sound_evals(n: u64, m: u64),
        sound_evals_of_one(n: u64),

        other_slip(mv: Markup, share: Markup, refutations: Markup),
        other_refutation(mv: Markup, share: Markup),
        other_ways(line: San),
        trap_for(side: Color),
        opening(name: &str, eco: &str),
        reached_one_in(n: Markup, side: Color, share: Markup),
        reached_share(share: Markup, side: Color),
        reached_always(side: Color),
        reached_never(side: Color, level: MoverFilter, mv: San),
        reached_unknown(side: Color, why: &str),
        slipped(who: &str, level: MoverFilter, share: Markup, the_move: &str, mv: San),
        slipped_several(who: &str, level: MoverFilter, share: Markup, a_move: &str, mv: San),
        slipped_unknown(who: &str, level: MoverFilter, the_move: &str, mv: San, why: &str),
        refuted(who: &str, level: MoverFilter, share: Markup, mv: San),
        refuted_several(who: &str, level: MoverFilter, share: Markup, mv: San),
        refuted_unknown(who: &str, level: MoverFilter, why: &str),
        netted(points: Markup),
        netted_usual(usual: San, points: Markup),
        netted_open(points: Markup),
        netted_usual_open(usual: San, points: Markup),
        netted_unknown(why: &str),
        met_one_in(n: Markup, side: Color, share: Markup),
        met_share(share: Markup, side: Color),
        met_never(level: MoverFilter, mv: San, side: Color),
        met_unknown(side: Color, why: &str),
        costs(points: Markup),
        costs_unknown(why: &str),
        costs_mate(moves: u64),
        mate_in(moves: u64),
        learn(level: MoverFilter, own: Markup, side: Color),
        learn_less(level: MoverFilter, own: Markup, side: Color),
        learn_free(level: MoverFilter, own: Markup, side: Color),
        learn_open(level: MoverFilter, own: Markup, side: Color),
        learn_few(level: MoverFilter, own: Markup, side: Color),
        learn_cost(level: MoverFilter, own: Markup, side: Color),
        learn_unknown(level: MoverFilter, side: Color, why: &str),
        ahead(games: u64, side: Color, expected: Markup, range: Markup, chance: Markup),
        ahead_unknown(games: u64, why: &str),
        so(codes: &str, level: MoverFilter, n: Markup),
        so_many(codes: &str, level: MoverFilter, slips: Markup),
        so_unknown(level: MoverFilter),
        remark_first(who: &str, level: MoverFilter, share: Markup),
        remark_slip(who: &str, level: MoverFilter, share: Markup),
        remark_refutation(who: &str, level: MoverFilter, share: Markup),

        trap_against(side: Color),
        instead_intro(level: MoverFilter, side: Color),
        instead_none(level: MoverFilter),
        instead_move(side: Color),
        avoid_before(mv: San, moves: Markup),

        diagram(number: &str),
        diagram_trap(mv: San, side: Color),
        diagram_slip(mv: San, side: Color),
        diagram_refutation(mv: San),
        diagram_end(mv: San),
        to_move(side: Color),
        last_move(from: &str, to: &str),
        last_moved(side: Color, mv: San),

        chart_few(slips: u64, finds: u64),
        chart_note(sample: u64),
        chart_slip_band(band: Markup, share: Markup),
        chart_find_band(band: Markup, share: Markup),
        chart_slips(mv: San),
        chart_finds(mv: San),
        band(from: &str, to: &str),
        over_caption(first: &str, last: &str),
        over_rises(figures: &str),
        over_falls(figures: &str),
        below_from(share: &str, rating: Markup),
        below_never(share: &str),
        below_unknown(share: &str, why: &str),
        way_title(level: MoverFilter),
        way_caption(level: MoverFilter),

        not_slip_intro(side: Color),
        answer(side: Color),
        no_better_reply(edge: Markup),
        other_side_intro(side: Color),
        other_side_move(mv: Markup, edge: Markup, games: &str),
        other_side_slip(mv: Markup, edge: Markup, games: &str),
        other_side_unknown(side: Color),
        price(points: Markup),
        price_gain(points: Markup),
        price_open(points: Markup),
        price_unknown(why: &str),
        rests_games(here: u64, level: MoverFilter, all: u64, victim: Color, months: &str, dumps: &str),
        rests_paces(paces: &str),
        in_pace(games: &str, pace: &str),
        rests_verdict(verdict: Markup),
        rests_evals(side: Color, after: Markup, n: u64, without: Markup, m: u64),
        rests_evals_after(side: Color, after: Markup, n: u64),
        rests_evals_without(side: Color, without: Markup, m: u64),
        rests_evals_best(side: Color, without: Markup, m: u64),
        rests_mate(moves: u64),
        rests_no_mate(moves: u64),
        rests_mate_open(moves: u64),
        rests_engine(side: Color, after: Markup, without: Markup),
        rests_engine_best(side: Color, without: Markup),

        safe_ask(side: Color, mv: San),
        is_slip(mv: San, reply: San),
        is_marked(mv: San, reply: San, doubt: &str),
        is_safe(mv: San, slip: San),
        is_best_left(mv: San, slip: San),
        is_safe_edge(edge: Markup, games: &str),
        better(mv: Markup, edge: Markup, games: &str),
        remember(slip: San, reply: San),
        remember_unsure(slip: San, reply: San),
        remember_victim(slip: San, reply: San),
        remember_open(slip: San, reply: San),
        remember_victim_better(slip: San, reply: San, better: San),
        beware(side: Color, slip: San),
        beware_better(side: Color, better: San, slip: San),
        no_sure_thing(side: Color, pawns: &str),
        quiz_ask(side: Color),
        solution_find(level: MoverFilter, share: Markup, mv: San),
        solution_also(moves: San),
        see_trap(number: u64),
        in_quiz(numbers: &str),
        incomplete(names: &str),
        limits(half_moves: u64, keep_from: u64),

        pgn_other(who: &str, level: MoverFilter, share: Markup, setter: Color, edge: Markup),
        pgn_usual_reply(share: Markup),
        pgn_usual(bait: San, edge: Markup),
    }
}

phrases! {
    /// What the student's page says.
    StudentPhrases of of_student {}
    lists {
        // Heads of so many things to learn: none, one, two, three.
        things[4],
        // Behind a number of games: of others, with the name on both sides, another start, no
        // result, broken, no moves, a wrong move.
        not_taken[7],
        habit_heads[6], met_heads[6], laid_heads[7], left_heads[6],
    }
    words {
        things_none, things_order, habits_heading, habits_note, traps_heading, traps_met, traps_laid, none,
        lines_heading, lines_left, first_move, you, opponent, fell_in, missed_in, no_event, games_read, own_results,
        traps_of_file, traps_of_hunt, slips_intro,
    }
    counted {
        positions, tests, shows, and_more, repeated, tested_not_advised,
    }
    sentences {
        page_of(name: Markup),
        held_against(own: u64, games: u64, months: &str, level: MoverFilter),
        taken(taken: u64, games: &str, white: u64, of_white: Markup, black: u64, of_black: Markup),
        results(won: u64, drawn: u64, lost: u64),
        left_out(reasons: &str),
        own_ratings(low: &str, high: &str, median: &str, games: &str),
        played_on(date: &str),
        played_from_to(first: &str, last: &str),
        your_level(ratings: &str, paces: &str),
        your_level_by_ratings(ratings: &str, paces: &str),
        your_level_unrated(ratings: &str, paces: &str),
        tested_had(positions: &str, times: &str),
        tested_held(judged: u64, from: &str, tests: &str, shows: &str, fdr: &str),
        tested_none(judged: u64, from: &str),
        tested_few(n: u64),
        tested_not_counted(n: u64),
        tested_never_twice(n: u64),
        prepared(games: &str, side: Color, ends: u64, within: u64, by_student: u64, by_opponent: u64),
        other_first_move(n: u64),
        play_here(mv: San),
        play_not(mv: San),
        play_instead(better: San, mv: San),
        find_here(mv: San),
        goes_on_with(moves: San),
        prepare_answer(mv: San),
        line_is(line: Markup),
        trap_is(name: Markup, line: Markup),
        allows_mate(mv: Markup),
        slip_of(name: Markup),
        habit_had(games: &str, mv: Markup, played: u64),
        habit_better(mv: Markup, points: Markup),
        habit_costs(cost: Markup),
        in_of(mv: Markup, played: u64, times: u64),
        met_and_fell(games: &str, slipped: u64),
        laid_and_found(games: &str, refuted: u64),
        level_falls(share: Markup),
        level_finds(share: Markup),
        others_play(moves: Markup),
        left_by_you(games: &str, mv: Markup, prepared: San),
        left_by_opponent(games: &str, mv: Markup, prepared: San),
        level_goes_on(moves: Markup),
        named_game(number: u64, event: &str, date: &str, side: Color),
    }
}

impl Language {
    const fn itself(&self) -> &Language {
        self
    }

    const fn of_student(&self) -> &StudentPhrases {
        &self.student
    }

    /// The wording for so many. One without a number is of one alone.
    pub(super) fn of_number(&self, [one, several]: [&str; 2], n: u64) -> String {
        let said = if (self.is_one)(n) && (n == 1 || one.contains("{n}")) { one } else { several };
        said.replace("{n}", &self.count(n))
    }
}

/// What goes into a slot.
pub(in crate::pages) trait Slot {
    /// As the language writes it.
    fn written(&self, language: &Language) -> Markup;
}

/// Moves with the letters of a language.
#[derive(Clone, Debug)]
pub(in crate::pages) struct San(pub(super) String);

impl std::fmt::Display for San {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl Render for San {
    fn render_to(&self, out: &mut String) {
        self.0.render_to(out);
    }
}

impl Slot for Markup {
    fn written(&self, _: &Language) -> Markup {
        self.clone()
    }
}

impl Slot for &str {
    fn written(&self, _: &Language) -> Markup {
        html! { (self) }
    }
}

impl Slot for San {
    fn written(&self, _: &Language) -> Markup {
        html! { (self) }
    }
}

impl Slot for u64 {
    fn written(&self, language: &Language) -> Markup {
        html! { (language.count(*self)) }
    }
}

impl Slot for Color {
    fn written(&self, language: &Language) -> Markup {
        html! { (language.side(*self)) }
    }
}

impl Slot for MoverFilter {
    fn written(&self, language: &Language) -> Markup {
        html! { (language.level(*self)) }
    }
}
