//! Is the trap sound: does the slip lose, and does the setter stand well enough without it?
//!
//! Three sources may tell, each under its own name and with its own count: evaluations that are in
//! the dumps, a proof of mate, an engine. All values are the setter's, in centipawns within +-1000.
#![doc = include_str!("../../pages/help/soundness.md")]
#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Position;

use super::cutoffs::{SoundnessCutoffs, bait_loses, mean_cp};
use super::evidence::Evidence;
use crate::answers::mate::{Nodes, Proof, prove_mate};
use crate::counts::Cell;
use crate::lines::{MarkedSlip, san_text};
use crate::terms::{MoveCode, MoverFilter};

/// What is known about a trap's soundness.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Soundness {
    pub verdict: SoundnessCode,
    pub slip_loses: Option<Grounds>,
    pub without_slip: Option<Grounds>,
    /// What the bait itself loses against the setter's best other move, by evaluations of the
    /// dumps, centipawns; none with too few.
    pub bait_loses_cp: Option<f64>,
    /// Evaluations behind the thinner of the two means of that.
    pub bait_evals: Option<u64>,
    /// What each source says; empty if nothing is known.
    pub sources: Vec<SoundnessSource>,
    pub cutoffs: SoundnessCutoffs,
    /// Sources that were asked and could not answer, and why.
    pub notes: Vec<String>,
}

/// A value that the verdict rests on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Grounds {
    /// Centipawns; a mate is the clamp, against the best move's own value or an even one.
    pub cp: f64,
    pub by: Witness,
}

/// The kind of a [`SoundnessSource`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Witness {
    /// Evaluations of the dumps.
    Evals,
    /// A proof of mate.
    Mate,
    Engine,
}

/// Is the trap sound?
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SoundnessCode {
    /// The slip loses, and without it the setter does not stand worse.
    Sound,
    /// The slip loses, but without it the setter stands worse.
    Gamble,
    /// The marked move does not lose.
    NoSlip,
    /// No source says both.
    Unknown,
}

/// One source of evidence; its count is `n`.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "source", rename_all = "snake_case")]
pub enum SoundnessSource {
    /// Evaluations that are in the counted games, of movers of all ratings.
    Evals(EvalEvidence),
    /// A search for the mate that the line ends in.
    Mate(MateEvidence),
    /// A chess engine.
    Engine(EngineEvidence),
}

/// Means of evaluations.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EvalEvidence {
    /// Evaluations behind the thinner of the two means.
    pub n: u64,
    pub slip: String,
    pub n_slip: u64,
    pub best: Option<String>,
    pub n_best: u64,
    /// Mean after the slip; none with too few.
    pub after_slip_cp: Option<f64>,
    /// Mean after the best other move; none with too few.
    pub without_slip_cp: Option<f64>,
    pub slip_loses_cp: Option<f64>,
}

/// A proof of mate, or none.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MateEvidence {
    /// Positions looked at; after several slips together.
    pub n: u32,
    /// The setter's moves from the slip to the mate in the line, the most that were looked for; of
    /// several slips the longest.
    pub moves: u8,
    #[serde(serialize_with = "proof_name")]
    pub proof: Proof,
    /// The fewest moves in which the setter mates by force, if that is proved.
    pub mate_in: Option<u8>,
}

fn proof_name<S: serde::Serializer>(proof: &Proof, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(match proof {
        Proof::Proved { .. } => "proved",
        Proof::NotForced => "not_forced",
        Proof::GivenUp => "given_up",
    })
}

/// What an engine says. A mate counts 1000.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EngineEvidence {
    pub n: u64,
    pub name: String,
    pub best: String,
    pub without_slip_cp: f64,
    pub slip: String,
    pub after_slip_cp: f64,
    pub after_refutation_cp: f64,
    pub slip_loses_cp: f64,
}

/// Positions that a proof of mate may look at: a few hundredths of a second.
const MATE_NODES: Nodes = Nodes(40_000);
/// Mates of more moves are not looked for.
const LONGEST_MATE: usize = 8;
/// What a mate counts.
const MATE_CP: f64 = 1000.0;

impl Soundness {
    /// Evaluations in the store and a proof of mate, if the line ends in one.
    pub(super) fn of(evidence: &Evidence) -> Soundness {
        let cutoffs = SoundnessCutoffs::default();
        let (bait_loses_cp, bait_evals) = bait_loses(evidence).unzip();
        let evals = SoundnessSource::Evals(evals(evidence));
        let mate = mate(evidence).map(SoundnessSource::Mate);
        Soundness {
            verdict: SoundnessCode::Unknown,
            slip_loses: None,
            without_slip: None,
            bait_loses_cp,
            bait_evals,
            sources: std::iter::once(evals).chain(mate).collect(),
            cutoffs,
            notes: Vec::new(),
        }
        .weighed()
    }

    /// Whether the setter is known to stand worse if the victim does not slip, whatever
    /// the slip loses.
    pub fn stands_worse(&self) -> bool {
        let below = |without: Grounds| without.cp < self.cutoffs.sound_from_cp;
        self.verdict == SoundnessCode::Gamble || self.without_slip.is_some_and(below)
    }

    /// Whether the slip is known to lose.
    pub fn slip_is_lost(&self) -> bool {
        self.verdict != SoundnessCode::NoSlip && self.slip_loses.is_some()
    }

    /// Whether the setter errs with the bait: it loses as much as a slip must lose, and leaves the
    /// setter worse.
    pub fn bait_errs(&self) -> bool {
        let loses = self.bait_loses_cp.is_some_and(|cp| cp >= self.cutoffs.slip_loses_cp);
        loses && self.stands_worse()
    }

    /// In how many moves the setter mates after the slip, if that is proved.
    pub fn mate_in(&self) -> Option<u8> {
        self.sources.iter().find_map(|source| match source {
            SoundnessSource::Mate(mate) => mate.mate_in,
            _ => None,
        })
    }

    /// Whether a search has proved that the mate the line ends in is not forced.
    pub fn mate_is_avoidable(&self) -> bool {
        let avoidable = |source: &SoundnessSource| matches!(source, SoundnessSource::Mate(mate) if mate.proof == Proof::NotForced);
        self.sources.iter().any(avoidable)
    }

    /// With what an engine says, or why it says nothing.
    pub(super) fn with_engine(mut self, engine: Result<EngineEvidence, String>) -> Soundness {
        match engine {
            Ok(evidence) => self.sources.push(SoundnessSource::Engine(evidence)),
            Err(why) => self.notes.push(why),
        }
        self.weighed()
    }

    /// The engine has the last word, since it looks at these very positions; a proved mate stands
    /// for what the slip loses; evaluations of the dumps stand in where neither tells.
    fn weighed(mut self) -> Soundness {
        let (mut loses, mut without) = (None, None);
        for source in &self.sources {
            match source {
                SoundnessSource::Evals(evals) => {
                    let said = |cp| Grounds { cp, by: Witness::Evals };
                    loses = evals.slip_loses_cp.map(said);
                    without = evals.without_slip_cp.map(said);
                }
                SoundnessSource::Mate(mate) if mate.mate_in.is_some() => {
                    let best = without.map_or(0.0, |Grounds { cp, .. }| cp);
                    loses = Some(Grounds { cp: MATE_CP - best, by: Witness::Mate });
                }
                SoundnessSource::Mate(_) => {}
                SoundnessSource::Engine(engine) => {
                    let said = |cp| Some(Grounds { cp, by: Witness::Engine });
                    (loses, without) = (said(engine.slip_loses_cp), said(engine.without_slip_cp));
                }
            }
        }
        self.verdict = verdict(loses, without, self.cutoffs);
        Soundness { slip_loses: loses, without_slip: without, ..self }
    }
}

fn verdict(
    loses: Option<Grounds>,
    without: Option<Grounds>,
    cutoffs: SoundnessCutoffs,
) -> SoundnessCode {
    match (loses, without) {
        (Some(loses), _) if loses.cp < cutoffs.slip_loses_cp => SoundnessCode::NoSlip,
        (Some(_), Some(without)) if without.cp < cutoffs.sound_from_cp => SoundnessCode::Gamble,
        (Some(_), Some(_)) => SoundnessCode::Sound,
        _ => SoundnessCode::Unknown,
    }
}

/// Evaluations belong to the position, not to the players: movers of all ratings and paces count.
fn evals(evidence: &Evidence) -> EvalEvidence {
    let moves = evidence.slip.counts.iter().flat_map(|counts| &counts.moves);
    let sums: Vec<(MoveCode, Cell)> = moves.map(|mv| (mv.code, mv.sum(MoverFilter::ALL))).collect();
    // The cells hold the victim's view.
    let known = sums.iter().filter_map(|(code, cell)| Some((*code, -mean_cp(cell)?)));
    let (slips, others): (Vec<_>, Vec<_>) = known.partition(|(code, _)| evidence.slip.has(*code));
    // A mark on a move that does not lose must not hide behind other slips.
    let [slip, best] = [slips, others].map(|of| of.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)));
    let code = slip.map_or(evidence.slip.codes[0], |(code, _)| code);
    let (after_slip_cp, without_slip_cp) = (slip.map(|(_, cp)| cp), best.map(|(_, cp)| cp));
    let of =
        |code| sums.iter().find(|(its, _)| *its == code).map_or(0, |(_, cell)| cell.eval_games);
    let (n_slip, n_best) = (of(code), best.map_or(0, |(code, _)| of(code)));
    let position = evidence.slip.position;
    let san = |code: MoveCode| Some(san_text(position, code.to_move(position)?));
    EvalEvidence {
        n: n_slip.min(n_best),
        slip: san(code).unwrap_or_default(),
        n_slip,
        best: best.and_then(|(code, _)| san(code)),
        n_best,
        after_slip_cp,
        without_slip_cp,
        slip_loses_cp: after_slip_cp.zip(without_slip_cp).map(|(slip, best)| slip - best),
    }
}

/// Looks for the mates that the lines of all slips end in; none if one does not, or if the
/// victim mates.
fn mate(evidence: &Evidence) -> Option<MateEvidence> {
    let slips = evidence.trap.slips().iter();
    let proofs = slips.map(mate_after).collect::<Option<Vec<_>>>()?;
    let longest = proofs.iter().copied().max_by_key(|mate| mate.mate_in.map_or(u8::MAX, |n| n))?;
    Some(MateEvidence { n: proofs.iter().map(|mate| mate.n).sum(), ..longest })
}

fn mate_after(slip: &MarkedSlip) -> Option<MateEvidence> {
    let (line, after) = (slip.line(), slip.position_after());
    let moves = (line.len() - slip.ply_after()).div_ceil(2);
    let mates = line.end().is_checkmate() && line.end().turn() != after.turn();
    if !mates || moves > LONGEST_MATE {
        return None;
    }
    let moves = u8::try_from(moves).expect("at most the longest mate");
    let (proof, Nodes(n)) = prove_mate(after, moves, MATE_NODES);
    let mate_in = match proof {
        Proof::Proved { moves } => Some(moves),
        Proof::NotForced | Proof::GivenUp => None,
    };
    Some(MateEvidence { n, moves, proof, mate_in })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::Question;
    use crate::answers::kit::{ModelCounts, play};
    use crate::answers::trap::judge;
    use crate::lines::Trap;
    use crate::terms::{Band, CellId, Pace};

    const LEGAL: &str = "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5 Bxd1 Bxf7+ Ke7 Nd5#";

    /// `count` evaluations of the move after the bait, from the victim's view.
    fn with_evals(counts: &mut ModelCounts, san: &str, count: usize, cp: i16) {
        let before = "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5";
        let moves = play(&format!("{before} {san}")).0;
        let id = CellId::new(Band::from_index(15).expect("a band"), Pace::Blitz);
        let cell = counts.cell(&play(before).1, moves[moves.len() - 1], id);
        (0..count).for_each(|_| cell.add_eval(cp));
    }

    fn soundness(evals: &[(&str, usize, i16)], line: &str) -> Soundness {
        let mut counts = ModelCounts::new().add(60, [1500, 1500], "1-0", LEGAL).add(
            40,
            [1500, 1500],
            "0-1",
            "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5 dxe5 Qxg4",
        );
        evals.iter().for_each(|(san, count, cp)| with_evals(&mut counts, san, *count, *cp));
        let trap = Trap::from_text(&line.replace(" Bxd1 ", " Bxd1?? ")).swap_remove(0);
        let Ok(report) = judge(&counts, &trap.expect("a trap"), &Question::default());
        report.soundness
    }

    const UNMATED: &str = "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5 Bxd1 Bxf7+";

    #[test]
    fn evaluations_tell_what_the_slip_loses_and_how_the_setter_stands_without() {
        let sound = soundness(&[("Bxd1", 10, -900), ("dxe5", 8, -100), ("Be6", 9, -300)], UNMATED);
        let SoundnessSource::Evals(evals) = &sound.sources[0] else { panic!("evaluations first") };
        assert_eq!((evals.n, evals.n_slip, evals.n_best), (8, 10, 8));
        assert_eq!(evals.best.as_deref(), Some("dxe5"));
        assert_eq!((evals.after_slip_cp, evals.without_slip_cp), (Some(900.0), Some(100.0)));
        assert_eq!((evals.slip_loses_cp, sound.verdict), (Some(800.0), SoundnessCode::Sound));
        let said = |cp| Some(Grounds { cp, by: Witness::Evals });
        assert_eq!((sound.slip_loses, sound.without_slip), (said(800.0), said(100.0)));
    }

    #[test]
    fn the_cutoffs_part_the_verdicts() {
        let verdict =
            |slip, best| soundness(&[("Bxd1", 5, slip), ("dxe5", 5, best)], UNMATED).verdict;
        assert_eq!(verdict(-900, 50), SoundnessCode::Sound);
        assert_eq!(verdict(-900, 51), SoundnessCode::Gamble);
        assert_eq!(verdict(-150, 0), SoundnessCode::Sound);
        assert_eq!(verdict(-149, 0), SoundnessCode::NoSlip);
        assert_eq!(verdict(-149, 900), SoundnessCode::Gamble);
    }

    #[test]
    fn too_few_evaluations_tell_nothing() {
        let thin = soundness(&[("Bxd1", 4, -900), ("dxe5", 4, 0)], UNMATED);
        assert_eq!(thin.verdict, SoundnessCode::Unknown);
        assert_eq!((thin.slip_loses, thin.without_slip), (None, None));
        let half = soundness(&[("Bxd1", 4, -900), ("dxe5", 5, 0)], UNMATED);
        assert_eq!(half.verdict, SoundnessCode::Unknown);
    }

    #[test]
    fn a_proved_mate_says_what_the_slip_loses_but_not_how_the_setter_stands() {
        let alone = soundness(&[], LEGAL);
        let proved = Proof::Proved { moves: 2 };
        let SoundnessSource::Mate(mate) = &alone.sources[1] else { panic!("a mate") };
        assert_eq!((mate.moves, mate.proof), (2, proved));
        assert_eq!(alone.verdict, SoundnessCode::Unknown);
        assert_eq!(alone.slip_loses, Some(Grounds { cp: 1000.0, by: Witness::Mate }));
        assert_eq!(alone.without_slip, None);
        assert_eq!(soundness(&[("dxe5", 5, 0)], LEGAL).verdict, SoundnessCode::Sound);
    }

    #[test]
    fn an_engine_has_the_last_word_and_its_failure_is_noted() {
        let base = soundness(&[("Bxd1", 10, -900), ("dxe5", 8, 0)], UNMATED);
        let engine = EngineEvidence {
            n: 4000,
            name: "an engine".into(),
            best: "dxe5".into(),
            without_slip_cp: -100.0,
            slip: "Bxd1".into(),
            after_slip_cp: 500.0,
            after_refutation_cp: 510.0,
            slip_loses_cp: 600.0,
        };
        assert_eq!(base.clone().with_engine(Ok(engine)).verdict, SoundnessCode::Gamble);
        let failed = base.with_engine(Err("it died".into()));
        assert_eq!((failed.verdict, failed.notes), (SoundnessCode::Sound, vec!["it died".into()]));
    }

    #[test]
    fn the_json_names_its_sources() {
        let json = serde_json::to_value(soundness(&[], LEGAL)).expect("plain data");
        assert_eq!(json["verdict"], "unknown");
        assert_eq!(json["slip_loses"]["by"], json["sources"][1]["source"]);
        assert_eq!(json["sources"][0]["source"], "evals");
        let mate = &json["sources"][1];
        assert_eq!((&mate["proof"], &mate["mate_in"]), (&"proved".into(), &2.into()));
        assert_eq!(json["cutoffs"]["slip_loses_cp"], 150.0);
    }
}
