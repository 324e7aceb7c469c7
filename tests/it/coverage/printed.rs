//! Every figure that `trap` prints of a known league, with its truth.

use deadfall::answers::claims::{ABOUT, Answer, evaluate};
use deadfall::answers::moves::{MoveTable, table};
use deadfall::answers::stats::Interval;
use deadfall::answers::trap::{BandRow, Figures, TrapReport, judge};
use deadfall::answers::{Figure, Question};
use deadfall::lines::{Bound, Claim, ClaimKind, Relation};
use shakmaty::{CastlingMode, Chess, Move};

use super::league::{BandTruth, League, Month, moves_at, shares};
use super::sampling::Chance;
use super::tally::Tallies;

/// Weighted means over the bands: `weight` of a band by its truth, `value` likewise.
fn over(
    bands: &[BandTruth],
    weight: impl Fn(&BandTruth) -> f64,
    value: impl Fn(&BandTruth) -> f64,
) -> f64 {
    let all: f64 = bands.iter().map(&weight).sum();
    bands.iter().map(|band| weight(band) * value(band)).sum::<f64>() / all
}

fn all(band: &BandTruth) -> f64 {
    band.games as f64
}

/// Games in which the band gets to the trap position, but for the setter's share.
fn here(band: &BandTruth) -> f64 {
    all(band) * band.choices.iter().product::<f64>()
}

fn slips(band: &BandTruth) -> f64 {
    here(band) * band.slip
}

struct Truth {
    occurrence: f64,
    steered: f64,
    slip_rate: f64,
    find_rate: f64,
    edge_after_slip: f64,
    score_after_slip: f64,
    worth: f64,
    price: f64,
    net: f64,
    slips: f64,
}

impl Truth {
    fn of(league: &League, bands: &[BandTruth]) -> Truth {
        let [refuted, missed, held, usual] = league.edges;
        let steered = over(bands, all, |band| band.choices.iter().product());
        let slip_rate = over(bands, here, |band| band.slip);
        let find_rate = over(bands, slips, |band| band.find);
        let edge_after_slip = find_rate * refuted + (1.0 - find_rate) * missed;
        let slips = 1000.0 * steered * slip_rate;
        let a_game = slip_rate * refuted + (1.0 - slip_rate) * held - usual;
        Truth {
            occurrence: steered * league.keeps.iter().product::<f64>(),
            steered,
            slip_rate,
            find_rate,
            edge_after_slip,
            // Equals meet on average; what White ordinarily scores above that, Black does not.
            score_after_slip: 0.5 - league.ordinary + edge_after_slip,
            worth: slips * (refuted - edge_after_slip),
            price: usual - held,
            net: 1000.0 * steered * a_game,
            slips,
        }
    }
}

/// Judges one month of a league and notes each interval that is printed with its value.
pub fn note(league: &League, chance: &mut Chance, tallies: &mut Tallies) {
    let month = league.month(chance);
    let place = place_of_fall(&league.bands);
    let level = place.map(|place| level_of_fall(&league.bands, place));
    let question = Question { slip_below: level, ..Question::default() };
    let Ok(report) = judge(&month.counts, &month.trap, &question);
    figures(league, &league.bands, &report.figures, "", tallies);
    if let Some(range) = report.figures.ahead.range {
        let slips = Truth::of(league, &league.bands).slips / 1000.0;
        let seen = chance.binomial(report.figures.ahead.games, slips);
        let range = Interval::new(range.low as f64, range.high as f64);
        tallies.add("number in 50 games", range, seen as f64);
    }
    choices(league, &report, tallies);
    times(&month, &report, tallies);
    moves(league, &month, tallies);
    if let [only] = &league.bands[..] {
        let order = Truth::of(league, std::slice::from_ref(only)).steered;
        tallies.figure("in any order, one order played", &report.steered_any_order, order);
    } else {
        let first = |row: &&BandRow| row.from == 1000;
        // By chance the lowest band may not have come to the trap position.
        if let Some(row) = report.bands.iter().find(first) {
            figures(league, &league.bands[..1], &row.figures, ", one band", tallies);
        }
        joined(league, &report, tallies);
    }
    if let Some((place, fall)) = place.zip(report.curve.slip_below) {
        let rating = |place: usize| 1000.0 + 100.0 * place as f64;
        let end = |at: Option<u16>| at.map_or(rating(league.bands.len()), f64::from);
        if fall.withheld.is_none() {
            let interval = Interval::new(end(fall.low), end(fall.high));
            tallies.add("rating from which fewer slip", interval, rating(place));
        }
    }
}

/// The first band that slips less than all before it, as do all bands behind it; none where the
/// shares do not fall so.
fn place_of_fall(bands: &[BandTruth]) -> Option<usize> {
    (1..bands.len()).find(|&place| {
        let (before, behind) = bands.split_at(place);
        behind.iter().all(|low| before.iter().all(|high| low.slip < high.slip))
    })
}

/// A level between the shares before that place and those from there on.
fn level_of_fall(bands: &[BandTruth], place: usize) -> f64 {
    let (before, behind) = bands.split_at(place);
    let least = before.iter().map(|band| band.slip).fold(1.0, f64::min);
    let most = behind.iter().map(|band| band.slip).fold(0.0, f64::max);
    (least * most).sqrt()
}

fn figures(
    league: &League,
    bands: &[BandTruth],
    figures: &Figures,
    of: &str,
    tallies: &mut Tallies,
) {
    let truth = Truth::of(league, bands);
    let name = |name: &str| format!("{name}{of}");
    tallies.figure(&name("occurrence"), &figures.occurrence, truth.occurrence);
    tallies.figure(&name("steered"), &figures.steered.rate, truth.steered);
    tallies.figure(&name("slip rate"), &figures.slip_rate, truth.slip_rate);
    tallies.figure(&name("find rate"), &figures.find_rate, truth.find_rate);
    let [refuted, _, held, usual] = league.edges;
    let ahead = &figures.ahead;
    let none = (1.0 - truth.slips / 1000.0).powf(ahead.games as f64);
    let means: [(&str, &Figure, f64); 11] = [
        ("score after slip", &figures.score_after_slip, truth.score_after_slip),
        ("edge after slip", &figures.edge_after_slip, truth.edge_after_slip),
        ("edge refuted", &figures.edge_refuted, refuted),
        ("edge without slip", &figures.edge_no_slip, held),
        ("edge of the usual", &figures.usual.edge, usual),
        ("worth", &figures.worth, truth.worth),
        ("price", &figures.price, truth.price),
        ("net", &figures.net, truth.net),
        ("slips per 1000", &figures.slips_per_1000, truth.slips),
        ("in 50 games", &ahead.expected, truth.slips * ahead.games as f64 / 1000.0),
        ("at least one", &ahead.at_least_one, 1.0 - none),
    ];
    for (figure, mean, truth) in means {
        tallies.figure(&name(figure), mean, truth);
    }
}

/// The shares that the line needs on the way.
fn choices(league: &League, report: &TrapReport, tallies: &mut Tallies) {
    for (place, choice) in report.choices.iter().enumerate() {
        let come = |band: &BandTruth| all(band) * band.choices[..place].iter().product::<f64>();
        let truth = over(&league.bands, come, |band| band.choices[place]);
        tallies.figure("share of a choice", &choice.share, truth);
    }
}

/// What `moves` prints of the trap position.
fn moves(league: &League, month: &Month, tallies: &mut Tallies) {
    let (position, played) = moves_at(&month.trap, month.trap.slip_ply());
    let Ok(answer) = table(&month.counts, &position, &Question::default());
    let truth = Truth::of(league, &league.bands);
    let [.., held, _] = league.edges;
    for row in &answer.moves {
        let is_it = |mv: &Move| mv.to_uci(CastlingMode::Standard).to_string() == row.uci;
        let place = played.iter().position(is_it).expect("a move of the league");
        tallies.figure("moves: share", &row.share, shares(truth.slip_rate)[place]);
        // White's, who moves: the other side of Black's.
        let edge = -if place == 0 { truth.edge_after_slip } else { held };
        tallies.figure("moves: score", &row.score, 0.5 + league.ordinary + edge);
        tallies.figure("moves: edge", &row.edge, edge);
        tallies.figure("moves: seconds", &row.clock_s, month.seconds[usize::from(place > 0)]);
    }
    let slip = [
        ("share", ClaimKind::Share as fn(Bound) -> ClaimKind, truth.slip_rate),
        ("score", ClaimKind::Score, 0.5 + league.ordinary - truth.edge_after_slip),
        ("edge", ClaimKind::Edge, -truth.edge_after_slip),
    ];
    for (what, kind, value) in slip {
        let kind = kind(Bound { relation: Relation::AtLeast, value });
        claimed(&answer, &position, (what, played[0], kind), None, tallies);
    }
    let [first, second, third] = shares(truth.slip_rate);
    let is_first = Some(first > second.max(third));
    claimed(&answer, &position, ("first", played[0], ClaimKind::Rank(1)), is_first, tallies);
    // The third is never played more often than the second, nor first.
    let more = ClaimKind::MoreThan(played[1]);
    claimed(&answer, &position, ("more than another", played[2], more), Some(false), tallies);
}

/// A claim that is true or false, or of which the truth is just the number that it names: that
/// ought to stay undecided. Where nothing was decided for lack of games the claim says nothing.
fn claimed(
    table: &MoveTable,
    position: &Chess,
    (what, mv, kind): (&str, Move, ClaimKind),
    truth: Option<bool>,
    tallies: &mut Tallies,
) {
    let claim = Claim { text: String::new(), mv, san: String::new(), kind };
    let answer = evaluate(table, position, &claim, ABOUT);
    if answer.because.figure().value.is_none() {
        return;
    }
    // Above and below are the truths that the answer leaves on that side.
    let side = match (answer.answer, truth) {
        (Answer::Undecided, _) | (Answer::Holds, Some(true)) | (Answer::Fails, Some(false)) => 0.0,
        (Answer::Holds, _) => -1.0,
        (Answer::Fails, _) => 1.0,
    };
    tallies.add(&format!("claim: {what}"), Interval::point(0.0), side);
}

fn times(month: &Month, report: &TrapReport, tallies: &mut Tallies) {
    let [slip, others] = month.seconds;
    let time = &report.time;
    tallies.figure("seconds, slip", &time.slip_s, slip);
    tallies.figure("seconds, others", &time.others_s, others);
    tallies.figure("difference of seconds", &time.difference_s, slip - others);
}

/// Stretches of two bands and more.
fn joined(league: &League, report: &TrapReport, tallies: &mut Tallies) {
    let bands = |from: u16, below: u16| {
        let place = |edge: u16| usize::from(edge / 100 - 10);
        Truth::of(league, &league.bands[place(from)..place(below)])
    };
    let curve = &report.curve;
    let rate: fn(Truth) -> f64 = |truth| truth.slip_rate;
    for (name, stretches, truth) in [
        ("slip rate, joined bands", &curve.slip_rate, rate),
        ("find rate, joined bands", &curve.find_rate, |truth| truth.find_rate),
        ("edge after slip, joined bands", &curve.edge_after_slip, |truth| truth.edge_after_slip),
    ] {
        for part in stretches.iter().filter(|part| part.joined) {
            tallies.figure(name, &part.figure, truth(bands(part.from, part.below)));
        }
    }
}
