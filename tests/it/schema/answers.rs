//! The answers as programs read them.

use super::shape::{mean, object, product, rate, tagged, with_move, words};

/// All figures of a trap under one filter, and what comes before them.
macro_rules! with_figures {
    ($name:ident { $($own:ident: $kind:ty),* $(,)? }) => {
        with_figures!($name [] { $($own: $kind),* });
    };
    ($name:ident [$($part:literal { $($field:ident: $of:ty),* $(,)? })*] { $($own:ident: $kind:ty),* $(,)? }) => {
        object!($name ["figures" {
            games: u64,
            occurrence: Rate,
            steered: Steered,
            slip_rate: Rate,
            find_rate: Rate,
            score_after_slip: Mean,
            edge_after_slip: Mean,
            edge_refuted: Mean,
            edge_no_slip: Mean,
            usual: Usual,
            worth_per_1000: Mean,
            price: Mean,
            net_per_1000: Mean,
            slips_per_1000: Mean,
            own_slips_per_1000: Mean,
            ahead: Ahead,
            verdict: Verdict,
        } $($part { $($field: $of),* })*] { $($own: $kind),* });
    };
}

/// The same, and all that a report on a trap says.
macro_rules! with_trap {
    ($name:ident { $($own:ident: $kind:ty),* $(,)? }) => {
        with_figures!($name ["trap" {
            name: String,
            setter: Colour,
            line: String,
            trap_fen: String,
            bait: Option<String>,
            slip: String,
            refutation: String,
            steered_any_order: Product,
            advice: Advice,
            slips: Option<Slips>,
            refutations: Option<Refutations>,
            other_ways: Option<Vec<String>>,
            time: Time,
            bands: Vec<Band>,
            earlier_choices: Vec<EarlierChoice>,
            curve: Curve,
            by_pace: Option<Vec<OfPace>>,
            explain: Option<Explanation>,
            opening: Option<String>,
            eco: Option<String>,
            choices: Vec<Choice>,
            paces: Vec<PaceGames>,
            expected: Option<f64>,
            rating_difference: Option<f64>,
            may_lack: u64,
            soundness: Soundness,
        }] { $($own: $kind),* });
    };
}

words!(Colour = "colour": White Black);
words!(Pace = "pace": Bullet Blitz Rapid Classical Correspondence Unknown);
words!(Class: Common Occasional Rare TooFewGames);
words!(SoundnessVerdict: Sound Gamble NoSlip Unknown);
words!(AdviceCode: Teach Warn Undecided Skip);
words!(ReasonCode: ComesUp Rare HowOftenOpen Pays DoesNotPay GainOpen Sound Gamble NoSlip StandsWorse AskEngine OwnSlips CostOpen MoreGames TooNear NoGames WiderFilter);
words!(VictimAdvice: Learn HowOftenOpen CostOpen AskEngine Skip);
words!(Witness: Evals Mate Engine);
words!(Withheld = "reason": TooFewGames NoGames Thin NeedsAnother NoBait TooLong);
words!(Place: Choice OtherChoices Slip OtherMoves Refutation OtherReplies InsteadOfBait AllGames);
words!(Proof: Proved NotForced GivenUp);
words!(ReachKind: Occurrence Repertoire);
words!(Agreement: Agree Contradict TooFew);

object!(Filter = "filter" { from: u16, below: u16, pace: Vec<Pace> });
object!(Limits = "limits" {
    half_moves: u16,
    keep_from: u64,
    absent_may_lack: u64,
    games: u64,
    nameless_sides: u64,
    incomplete: Vec<String>
});
object!(PaceGames = "pace count" { pace: Pace, games: u64 });
rate!(Rate {});
product!(Product {});
mean!(Mean {});

#[rustfmt::skip]
object!(Position { fen: String, to_move: Colour, name: Option<String>, eco: Option<String>, may_lack: u64 });
with_move!(Move {});
with_move!(MoveRow { across: Option<Vec<Across>> });
object!(Across {
    from: Option<u16>,
    below: Option<u16>,
    pace: Option<Pace>,
    n: u64,
    share: Rate,
    score: Mean
});
object!(Traps {
    filter: Filter,
    cutoffs: Cutoffs,
    min_sample: u64,
    traps: Vec<Trap>,
    limits: Limits
});
object!(Cutoffs { common: f64, occasional: f64 });
with_trap!(Trap {});
with_figures!(Band { from: u16, below: u16 });
with_figures!(OfPace { pace: Pace });
product!(Steered { rarest: Option<String>, mixed: bool, never: Option<String> });
object!(Usual { san: Option<String>, edge: Mean });
object!(Ahead { games: u64, expected: Mean, range: Option<NextSlips>, at_least_one: Mean });
object!(NextSlips { low: u64, high: u64 });
object!(EarlierChoice { san: String, edge: Mean, usual: Usual, difference: Mean });
object!(Verdict { codes: Vec<Class> });
object!(Slips { moves: Vec<Slip>, together: Rate });
object!(Slip { san: String, share: Rate, edge: Mean, find_rate: Rate });
object!(Refutations { moves: Vec<Refutation>, together: Rate });
object!(Refutation { after: String, san: String, share: Rate, edge: Mean });
object!(Advice { codes: Vec<AdviceCode>, reasons: Vec<Reason> });
object!(Reason {
    code: ReasonCode,
    figure: Option<String>,
    known: Option<Mean>,
    limit: Option<f64>,
    slip_loses_cp: Option<f64>,
    without_slip_cp: Option<f64>,
    games: Option<u64>,
    games_to_decide: Option<u64>,
    filter: Option<Filter>,
});
object!(Time { slip_s: Mean, others_s: Mean, difference_s: Mean });
object!(Choice { san: String, share: Rate });
object!(Curve {
    slip_rate: Vec<RateStretch>,
    find_rate: Vec<RateStretch>,
    edge_after_slip: Vec<MeanStretch>,
    slip_below: Option<SlipBelow>,
});
rate!(RateStretch { from: u16, below: u16, joined: bool });
mean!(MeanStretch { from: u16, below: u16, joined: bool });
object!(SlipBelow {
    level: f64,
    value: Option<u16>,
    low: Option<u16>,
    high: Option<u16>,
    n: u64,
    n_eff: f64,
    reached: bool,
    withheld: Option<Withheld>,
});
object!(RefutedShare { slips: Vec<String>, slipped: u64, refuted: u64, edge: Option<f64> });
object!(Explanation = "explanation" {
    sums: Vec<CellSum>,
    steered: Vec<BandProduct>,
    refuted: Option<Vec<RefutedShare>>,
    edge_replies: Mean,
    orders: Vec<Order>,
    effects: Vec<PositionEffect>,
});
#[rustfmt::skip]
object!(PositionEffect = "effect" { key: String, n: u64, games_a_player: f64, shares: f64, scores: f64, seconds: f64 });
object!(BandProduct = "band product" { from: u16, below: u16, games: u64, shares: Vec<UsedShare> });
object!(UsedShare { k: u64, n: u64, pooled: bool });
object!(Order { key: String, n: u64, moves: Vec<Followed> });
object!(Followed { uci: String, k: u64 });
object!(CellSum {
    label: String,
    place: Place,
    position: String,
    key: Option<String>,
    mover: Colour,
    moves: String,
    from: Option<u16>,
    below: Option<u16>,
    paces: Vec<Pace>,
    games: u64,
    wins: u64,
    draws: u64,
    losses: u64,
    expected_milli: u64,
    ordinary: f64,
    clock: Clock,
});
object!(Clock { games: u64, tenths: u64, tenths_sq: u64 });
object!(Soundness = "soundness" {
    verdict: SoundnessVerdict,
    slip_loses: Option<Grounds>,
    without_slip: Option<Grounds>,
    bait_loses_cp: Option<f64>,
    sources: Vec<Source>,
    cutoffs: SoundnessCutoffs,
    notes: Vec<String>
});
object!(Grounds { cp: f64, by: Witness });
object!(SoundnessCutoffs { slip_loses_cp: f64, sound_from_cp: f64, least_evals: u64 });

// Who speaks about soundness.
tagged!(Source "source" {
    Evals {
        n: u64,
        slip: String,
        n_slip: u64,
        best: Option<String>,
        n_best: u64,
        after_slip_cp: Option<f64>,
        without_slip_cp: Option<f64>,
        slip_loses_cp: Option<f64>,
    }
    Mate {
        n: u64,
        moves: u64,
        proof: Proof,
        mate_in: Option<u64>,
    }
    Engine {
        n: u64,
        name: String,
        best: String,
        without_slip_cp: f64,
        slip: String,
        after_slip_cp: f64,
        after_refutation_cp: f64,
        slip_loses_cp: f64,
    }
});

object!(Victims {
    filter: Filter,
    min_sample: u64,
    traps: Vec<Victim>
});
object!(Victim {
    name: String,
    victim: Colour,
    line: String,
    trap_fen: String,
    slip: String,
    games: u64,
    occurrence: Rate,
    comes_up: Steered,
    setter_choices: Vec<Choice>,
    slip_rate: Rate,
    advice: VictimAdvice,
    own_slips_per_1000: Mean,
    slips: Vec<String>,
    instead: Vec<Move>,
    earlier: Vec<Earlier>,
    paces: Vec<PaceGames>,
    may_lack: u64,
    explain: Option<VictimExplanation>,
});
object!(VictimExplanation { comes_up: Vec<BandProduct>, effects: Vec<PositionEffect> });
object!(Earlier { san: String, fen: String, moves: Vec<Move> });

object!(Hunt {
    setter: Colour,
    start: String,
    filter: Filter,
    reach_kind: ReachKind,
    tests: u64,
    significant: u64,
    hidden: u64,
    hidden_by: HiddenBy,
    found: Vec<Found>,
    misses: Vec<Miss>,
    covered: Option<Covered>,
    interval_level: Option<f64>,
    settings: Settings,
    positions: u64,
    detectable: Option<f64>,
    games: u64,
});
object!(Miss {
    line: String,
    fen: String,
    slip: String,
    games: u64,
    n: u64,
    drop: Mean,
    p: Option<f64>,
    q: Option<f64>,
    lacks: Vec<Lack>,
});
object!(Covered { positions: u64, met: u64, tests: u64, tests_reached: u64 });
tagged!(Lack "code" {
    Reached { n: u64, needed: u64 }
    Games { n: u64, needed: u64 }
    OtherGames { n: u64, needed: u64 }
    Share { value: f64, needed: f64 }
    Certain { q: f64, needed: f64 }
    Drop { value: f64, needed: f64 }
    InOrder { edge: f64, needed: f64 }
    Refutation {}
    Way {}
    Place {}
});
object!(HiddenBy {
    not_in_order: u64,
    small_drop: u64,
    told_elsewhere: u64,
    no_refutation: u64,
    not_reached: u64,
    beyond_top: u64
});
object!(Settings {
    reached: u64,
    tested_from: u64,
    min_sample: u64,
    min_share: f64,
    null_drop: f64,
    fdr: f64,
    min_drop: f64,
    top: u64
});
with_trap!(Found {
    to_lay: bool,
    reach: Reach,
    drop: Mean,
    p: f64,
    q: f64,
    evaluations: Evaluations,
    branches: Vec<Branch>
});
product!(Reach { kind: ReachKind });
object!(Evaluations = "evaluations" {
    slip_cp: Option<f64>,
    slip_games: u64,
    others_cp: Option<f64>,
    others_games: u64,
    verdict: Agreement
});
object!(Branch {
    slip: String,
    slip_rate: Rate,
    drop: Mean,
    p: f64,
    q: f64,
    refutation: String,
    edge_refuted: Mean,
    evaluations: Evaluations,
});
