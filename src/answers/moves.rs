//! The moves played in a position.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use super::Baseline;
use super::effect::{answers_at, behind, design_effect, effect_of_groups};
use super::stats::{ANSWERED_FROM, Answers, DesignEffect, TIME_CORRELATION};
use serde::{Serialize, Serializer};
use shakmaty::fen::Fen;
use shakmaty::san::SanPlus;
use shakmaty::{Chess, Color, Position};

use super::edge::rating_difference;
use super::stats::Moments;
use super::{Figure, Question, Sample, Sampling};
use crate::counts::{Cell, Counts, Lacking, Limits, MoveCounts, PositionCounts};
use crate::terms::{BandRange, EN_PASSANT, Key, MoverFilter, Pace};

/// The moves that the movers of the filter played in a position, most played first.
#[derive(Clone, Debug, PartialEq)]
pub struct MoveTable {
    pub position: PositionView,
    /// Whose moves.
    pub filter: MoverFilter,
    /// Games in which a mover of the filter played a move here.
    pub games: u64,
    /// How much these games tell.
    pub effect: DesignEffect,
    /// The moves by rank; ties by UCI text.
    pub moves: Vec<MoveRow>,
    /// A share that rests on fewer games of different players is thin, any other figure withheld.
    pub min_sample: u64,
    /// Games by pace, in table order, only paces with games.
    pub paces: Vec<PaceGames>,
    /// The mover's expected score over all these games, 0..=1; none without games.
    pub expected: Option<f64>,
    /// The rating difference (mover minus opponent) that this expected score is equal to.
    pub rating_difference: Option<f64>,
    /// How far the counts reach.
    pub limits: Limits,
}

impl MoveTable {
    /// Games of different players that tell as much about the shares.
    pub fn effective_games(&self) -> f64 {
        self.games as f64 / self.effect.share
    }

    /// How figures of this position are made.
    pub(super) fn sampling(&self) -> Sampling {
        Sampling::from(self.min_sample).lacking(self.position.may_lack)
    }
}

/// A position as an answer names it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PositionView {
    /// FEN, with an en passant square only if such a capture is legal.
    pub fen: String,
    #[serde(serialize_with = "color_name")]
    pub to_move: Color,
    pub name: Option<String>,
    pub eco: Option<String>,
    /// How many games may be missing; 0 means that the counts are exact.
    pub may_lack: Lacking,
}

/// One move of a position; scores are the mover's.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoveRow {
    pub san: String,
    /// The move in UCI terms, castling as e1g1.
    pub uci: String,
    /// 1 for the most played.
    pub rank: usize,
    pub games: u64,
    pub wins: u64,
    pub draws: u64,
    pub losses: u64,
    /// Share of the move among all moves here.
    pub share: Figure,
    pub score: Figure,
    pub expected: f64,
    /// Score against expectation and against the ordinary, in points a game.
    pub edge: Figure,
    /// What movers ordinarily score above expectation, in points a game: score - expected - edge.
    #[serde(skip)]
    pub ordinary: f64,
    /// D of score and edge, at least 1.
    #[serde(skip)]
    pub score_effect: f64,
    pub clock_s: Figure,
    /// Evaluation after the move in centipawns, clamped to +-1000; no interval.
    pub eval_cp: Figure,
    /// The same move by rating or by pace; empty where that is not asked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub across: Vec<Across>,
}

/// A move as the movers of some ratings or of one pace play it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Across {
    /// Which movers.
    #[serde(flatten)]
    pub column: Column,
    pub n: u64,
    pub share: Figure,
    pub score: Figure,
}

/// Some of the movers of a position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub enum Column {
    /// Those of a band, or of neighbouring bands joined.
    Rated(BandRange),
    /// Those of a pace.
    Pace { pace: Pace },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct PaceGames {
    pub pace: Pace,
    pub games: u64,
}

/// The move table of a position.
pub fn table<C: Counts>(
    counts: &C,
    position: &Chess,
    question: &Question,
) -> Result<MoveTable, C::Error> {
    let Question { filter, min_sample, .. } = *question;
    let (found, groups) = counts.position_under(Key::of(position), filter)?.unzip();
    let found = found.as_ref();
    let baseline = Baseline::of(counts.totals());
    let all = Sample::of_moves(found, |_| true, filter, position.turn(), &baseline);
    let effect = effect_of_groups(&groups.unwrap_or_default());
    let moves = rows_at(counts, found, position, &baseline, question, effect)?;
    let expected = all.expected();
    Ok(MoveTable {
        position: view(position, found, counts.limits()),
        filter,
        games: all.games(),
        effect,
        moves,
        min_sample,
        paces: games_by_pace(found, filter),
        expected,
        rating_difference: expected.and_then(rating_difference),
        limits: counts.limits().clone(),
    })
}

/// The moves that movers of the filter played in a position, by rank. Those who answer them
/// are looked up.
pub(super) fn rows<C: Counts>(
    counts: &C,
    found: Option<&PositionCounts>,
    position: &Chess,
    baseline: &Baseline,
    question: &Question,
) -> Result<Vec<MoveRow>, C::Error> {
    let effect = design_effect(found, question.filter);
    rows_at(counts, found, position, baseline, question, effect)
}

fn rows_at<C: Counts>(
    counts: &C,
    found: Option<&PositionCounts>,
    position: &Chess,
    baseline: &Baseline,
    question: &Question,
    effect: DesignEffect,
) -> Result<Vec<MoveRow>, C::Error> {
    let Some(found) = found else { return Ok(Vec::new()) };
    let filter = question.filter;
    let all = found.moves.iter().map(|mv| mv.games(filter)).sum();
    let played = found.moves.iter().filter(|mv| mv.games(filter) > 0);
    // A code that is no legal move here comes of two positions that share a key.
    let played: Vec<_> = played.filter_map(|mv| Some((mv, mv.code.to_move(position)?))).collect();
    let is_asked = |mv: &MoveCounts| mv.games(filter) >= ANSWERED_FROM;
    let asked = played.iter().filter(|(mv, _)| is_asked(mv));
    let keys: Vec<Key> = asked.map(|(_, mv)| behind(found.key, position, *mv)).collect();
    let mut answers = answers_at(counts, &keys, filter)?.into_iter();
    let sampling = question.sampling().lacking(counts.limits().lacking(position, Some(found)));
    let mut rows = Vec::with_capacity(played.len());
    for (mv, played) in played {
        let answers = if is_asked(mv) { answers.next() } else { None }.unwrap_or_default();
        let san = SanPlus::from_move(position.clone(), played).to_string();
        rows.extend(row(
            mv,
            san,
            position.turn(),
            baseline,
            (effect, answers),
            (sampling, filter),
            all,
        ));
    }
    rows.sort_by(|a, b| b.games.cmp(&a.games).then_with(|| a.uci.cmp(&b.uci)));
    for (place, row) in rows.iter_mut().enumerate() {
        row.rank = place + 1;
    }
    Ok(rows)
}

/// None without a game under the filter.
fn row(
    mv: &MoveCounts,
    san: String,
    mover: Color,
    baseline: &Baseline,
    (effect, answers): (DesignEffect, Answers),
    (sampling, filter): (Sampling, MoverFilter),
    all: u64,
) -> Option<MoveRow> {
    let of = |effect| sampling.with_effect(effect);
    let cells = mv.cells.iter().filter(|(id, _)| filter.admits(*id));
    let sample = Sample::of(cells.map(|(id, cell)| (*id, cell)), mover, baseline);
    let cell: Cell = mv.sum(filter);
    let score_effect = effect.of_score(cell.games, answers);
    let scores = of(score_effect);
    let clock = times([mv], filter);
    Some(MoveRow {
        san,
        uci: mv.code.to_string(),
        rank: 0,
        games: cell.games,
        wins: cell.wins,
        draws: cell.draws,
        losses: cell.losses(),
        share: of(effect.share).share(cell.games, all),
        score: sample.score(scores),
        expected: sample.expected()?,
        edge: sample.edge(scores),
        ordinary: sample.ordinary / sample.games().max(1) as f64,
        score_effect,
        clock_s: of(effect.of_residuals(TIME_CORRELATION)).seconds(&clock),
        eval_cp: sampling.mean(cell.eval_cp, cell.eval_games),
        across: Vec::new(),
    })
}

/// Of moves by rank the best one: of those whose whole margin lies above the value of the most
/// played move the one with the highest value, the more often played one of equals. None where
/// chance alone may make one look better.
pub fn best_reply(rows: &[MoveRow], of: impl Fn(&MoveRow) -> &Figure) -> Option<&MoveRow> {
    let usual = of(rows.first()?).value?;
    let above =
        rows.iter().filter(|row| of(row).value.and(of(row).low).is_some_and(|low| low > usual));
    above.reduce(|best, row| if of(row).value > of(best).value { row } else { best })
}

/// The times that movers of the filter spent on these moves, in tenths of a second, by pace.
pub(super) fn times<'a>(
    moves: impl IntoIterator<Item = &'a MoveCounts>,
    filter: MoverFilter,
) -> [Moments; Pace::ALL.len()] {
    let mut times = [Moments::default(); Pace::ALL.len()];
    let cells = moves.into_iter().flat_map(|mv| &mv.cells).filter(|(id, _)| filter.admits(*id));
    for (id, cell) in cells {
        let of_pace = &mut times[id.pace().index()];
        *of_pace = of_pace.plus(Moments {
            n: cell.clock_games,
            sum: cell.clock_tenths,
            sum_sq: cell.clock_tenths_sq,
        });
    }
    times
}

fn view(position: &Chess, found: Option<&PositionCounts>, limits: &Limits) -> PositionView {
    let tag = found.and_then(|found| found.opening.as_ref()).map(|opening| &opening.tag);
    let text = |text: &String| (!text.is_empty()).then(|| text.clone());
    PositionView {
        fen: Fen::from_position(position, EN_PASSANT).to_string(),
        to_move: position.turn(),
        name: tag.and_then(|tag| text(&tag.name)),
        eco: tag.and_then(|tag| text(&tag.eco)),
        may_lack: limits.lacking(position, found),
    }
}

/// Games of the filter's movers in a position by pace, in table order, only paces with games.
pub(super) fn games_by_pace(
    counts: Option<&PositionCounts>,
    filter: MoverFilter,
) -> Vec<PaceGames> {
    let mut games = [0; Pace::ALL.len()];
    for mv in counts.into_iter().flat_map(|counts| &counts.moves) {
        for (id, cell) in mv.cells.iter().filter(|(id, _)| filter.admits(*id)) {
            games[id.pace().index()] += cell.games;
        }
    }
    let paces = Pace::ALL.into_iter().zip(games).map(|(pace, games)| PaceGames { pace, games });
    paces.filter(|row| row.games > 0).collect()
}

pub(super) fn color_name<S: Serializer>(color: &Color, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(color.fold_wb("white", "black"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::kit::{ModelCounts, play};
    use crate::terms::{Band, BandRange, CellId};

    /// 1. e4 is answered by e5 three times and by c5 and d5 once each.
    fn five_games() -> ModelCounts {
        ModelCounts::new()
            .add(2, [1500, 1500], "1-0", "e4 e5")
            .add(1, [1500, 1700], "1/2", "e4 e5")
            .add(1, [1500, 1500], "0-1", "e4 d5")
            .add(1, [1500, 1500], "0-1", "e4 c5")
    }

    fn ask(min_sample: u64) -> Question {
        Question { min_sample, ..Question::default() }
    }

    fn after(line: &str, counts: &ModelCounts, question: &Question) -> MoveTable {
        let Ok(table) = table(counts, &play(line).1, question);
        table
    }

    #[test]
    fn moves_rank_by_games_and_then_by_uci_text() {
        let table = after("e4", &five_games(), &ask(1));
        let rows: Vec<_> =
            table.moves.iter().map(|row| (row.rank, row.san.as_str(), row.games)).collect();
        assert_eq!(rows, [(1, "e5", 3), (2, "c5", 1), (3, "d5", 1)]);
        assert_eq!((table.games, table.position.to_move), (5, Color::Black));
    }

    /// e5: two losses and a draw for Black: 0.5/3. Expected 500, 500, 760 (200 points up): 1.76/3.
    ///
    /// By hand, White's view: expected 0.5, 0.5, 0.5, 0.5, 0.24 and results 1, 1, 0, 0, 0.5 have
    /// covariance 0, so the slope of their own is 0; spread 1.0576 - 2.24^2/5 = 0.05408, residuals
    /// (2.25 - 2.5^2/5)/3 = 1/3, weight 0.05408 x 3 = 0.16224 against 400 of the usual 0.84. Levels
    /// of Black: 0.5 - s x 0.5 in the four games of band 1500, 0.5 - s x 0.76 in the one of 1700,
    /// 0.5 - s x 2.76/5 in all, which weighs like 500 games.
    #[test]
    fn scores_are_the_movers_against_the_ordinary() {
        let table = after("e4", &five_games(), &ask(1));
        let e5 = &table.moves[0];
        assert_eq!((e5.wins, e5.draws, e5.losses), (0, 1, 2));
        let near = |value: Option<f64>, want: f64| (value.expect("known") - want).abs() < 1e-12;
        assert!(near(e5.score.value, 0.5 / 3.0) && near(Some(e5.expected), 1.76 / 3.0));
        let slope = 0.84 * 400.0 / 400.16224;
        let level = |games: f64, expected: f64| {
            0.5 - slope * (expected + 500.0 * 2.76 / 5.0) / (games + 500.0)
        };
        let ordinary = 2.0 * level(4.0, 2.0) + level(1.0, 0.76) + slope * 1.76;
        assert!(near(e5.edge.value, (0.5 - ordinary) / 3.0), "{:?}", e5.edge);
        assert!(near(e5.share.value, 0.6));
    }

    #[test]
    fn a_filter_holds_for_the_mover_of_the_position() {
        let bands = BandRange::new(1700, 1800).expect("on the edges");
        let question = ask(1).about(MoverFilter { bands, ..MoverFilter::ALL });
        assert_eq!(after("e4", &five_games(), &question).games, 1);
        assert_eq!(after("", &five_games(), &question).games, 0);
    }

    #[test]
    fn thin_rows_keep_their_counts_and_withhold_their_means() {
        let table = after("e4", &five_games(), &ask(4));
        let e5 = &table.moves[0];
        assert_eq!((e5.share.value, e5.share.k, e5.share.n), (Some(0.6), Some(3), 5));
        assert_eq!((e5.score.value, e5.edge.value, e5.score.n), (None, None, 3));
        // Five players in five groups: D = 32/31 x 2.8 / (5 x 0.56), so they are as good as 4.84.
        let thin = after("e4", &five_games(), &ask(5)).moves.swap_remove(0).share;
        assert!((thin.n_eff - 5.0 * 31.0 / 32.0).abs() < 1e-12);
        assert!(thin.value.is_none() && thin.low < Some(0.6) && thin.high > Some(0.6));
    }

    /// 2, 4 and 6 s: mean 4 s, squared error 4/3, with 2 degrees of freedom times 1 + (1 +
    /// 2.0395^2)/2, so a shape of 3.352136. SciPy 1.17.1:
    /// `scipy.stats.gamma.ppf(scipy.stats.norm.sf(2.0395...), shape)` is 0.725214145789.
    #[test]
    fn seconds_and_evaluations_come_from_the_games_that_tell_them() {
        let mut counts = five_games();
        let (moves, position) = (play("e4 e5").0, play("e4").1);
        let id = CellId::new(Band::from_index(15).expect("a band"), Pace::Blitz);
        let cell = counts.cell(&position, moves[1], id);
        [20, 40, 60].into_iter().for_each(|tenths| cell.add_clock(tenths));
        cell.add_eval(-30);
        let e5 = after("e4", &counts, &ask(1)).moves.swap_remove(0);
        assert!((e5.clock_s.value.expect("known") - 4.0).abs() < 1e-12);
        let high = 4.0 * 3.352135508876 / 0.725214145789;
        assert!((e5.clock_s.high.expect("known") - high).abs() < 1e-9);
        assert_eq!((e5.eval_cp.value, e5.eval_cp.low, e5.eval_cp.n), (Some(-30.0), None, 1));
    }

    #[test]
    fn a_position_tells_its_name_and_what_it_may_lack() {
        let counts = five_games().describe("e4", "B00", "King's Pawn Game", 4);
        let position = after("e4", &counts, &ask(1)).position;
        assert_eq!(position.name.as_deref(), Some("King's Pawn Game"));
        assert_eq!((position.eco.as_deref(), position.may_lack), (Some("B00"), Lacking::UpTo(4)));
        assert_eq!(position.fen, "rnbqkbnr/pppppppp/8/8/4P3/8/PPPP1PPP/RNBQKBNR b KQkq - 0 1");
    }

    #[test]
    fn an_unknown_position_is_an_answer_without_moves() {
        let table = after("a4 a5", &five_games(), &ask(1));
        assert_eq!((table.games, table.moves.len(), table.expected), (0, 0, None));
    }
}
