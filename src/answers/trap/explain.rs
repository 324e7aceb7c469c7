//! Each figure's fraction and the counts behind it, so that it can be checked by hand.

use serde::Serialize;
use shakmaty::{Chess, Color, Position};

use super::evidence::Evidence;
use super::judge::numbered_to;
use super::reach::{Way, steered};
use super::{Figures, TimeTaken, TrapLine};
use crate::answers::moves::color_name;
use crate::answers::{Mean, Question, Rate, Sample};
use crate::counts::{Cell, PositionCounts};
use crate::terms::{CellId, Key, MoveCode, MoverFilter, Pace};

/// The counts behind the figures of a trap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explanation {
    /// Sums of cells, each with a label.
    pub sums: Vec<CellSum>,
    /// How each figure is made of them.
    pub steps: Vec<Step>,
    /// For the steering in any order: each position with its key, and the line's moves there as `games/all games`.
    pub orders: Vec<String>,
}

/// Cells of one position added up, from the mover's view; as `moves` shows them, and `export` cell by cell.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CellSum {
    /// What the steps call it.
    pub label: String,
    /// The line to the position, empty for the initial position; `all games` for the totals.
    pub position: String,
    /// Its key; none for the totals.
    pub key: Option<String>,
    /// Whose turn it is.
    #[serde(serialize_with = "color_name")]
    pub mover: Color,
    /// The move in SAN, or which moves.
    pub moves: String,
    /// Lower edge of the lowest band with a game.
    pub from: Option<u16>,
    /// Upper edge of the highest one.
    pub below: Option<u16>,
    /// Paces with a game.
    pub paces: Vec<Pace>,
    /// Games.
    pub games: u64,
    /// Games that the mover won.
    pub wins: u64,
    /// Drawn games.
    pub draws: u64,
    /// Games that the mover lost.
    pub losses: u64,
    /// Sum of the mover's expected scores, in thousandths.
    pub expected_milli: u64,
    /// Sum of what the mover's colour ordinarily scores above it in the same bands and paces, in points.
    pub ordinary: f64,
    /// Games that tell the time spent, the sum of the tenths of a second and of their squares.
    pub clock: [u64; 3],
}

/// How one figure is worked out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// Its name, as in JSON.
    pub figure: &'static str,
    /// The fraction in numbers, with the labels of the sums.
    pub formula: String,
    /// The value; none where withheld.
    pub value: Option<f64>,
    /// Where the interval comes from.
    pub interval: &'static str,
}

/// Which cells a sum takes.
struct Source<'a> {
    position: &'a Chess,
    place: String,
    counts: Option<&'a PositionCounts>,
}

/// Explains the figures over the whole filter.
pub(super) fn explain(
    evidence: &Evidence,
    line: &TrapLine,
    question: &Question,
    figures: &Figures,
    (any_order, orders): (&Rate, Vec<String>),
    time: &TimeTaken,
) -> Explanation {
    let mut book = Book { evidence, filter: question.filter, sums: Vec::new() };
    let way: Vec<(String, String)> = evidence
        .choices
        .iter()
        .enumerate()
        .map(|(index, node)| {
            let ply = line.slip % 2 + 2 * index;
            let source = Source {
                position: &node.position,
                place: numbered_to(line, ply),
                counts: node.counts.as_deref(),
            };
            let needed = book.add(&source, &node.san, |code| code == node.code);
            (needed, book.add(&source, "all others", |code| code != node.code))
        })
        .collect();
    let trap = Source {
        position: &evidence.slip.position,
        place: numbered_to(line, line.slip),
        counts: evidence.slip.counts.as_deref(),
    };
    let slip = book.add(&trap, &evidence.slip.san, |code| code == evidence.slip.code);
    let held = book.add(&trap, "all others", |code| code != evidence.slip.code);
    let after = Source {
        position: &evidence.after,
        place: numbered_to(line, line.slip + 1),
        counts: evidence.after_counts.as_deref(),
    };
    let reply = evidence.refutation.as_ref();
    let name = reply.map_or("(no refutation)", |(san, _)| san.as_str());
    let refuted = book.add(&after, name, |code| reply.is_some_and(|(_, r)| code == *r));
    let missed = book.add(&after, "all others", |code| reply.is_none_or(|(_, r)| code != *r));
    let usual = evidence.bait.as_ref().map(|bait| {
        let source = Source {
            position: &bait.position,
            place: numbered_to(line, line.slip - 1),
            counts: bait.counts.as_deref(),
        };
        book.add(&source, &format!("all but {}", bait.san), |code| code != bait.code)
    });
    let all = book.add_totals();

    let games = |label: &str| book.get(label).games;
    let of = |label: &str| format!("{label} {}", games(label));
    let share = |figure, (k, others): (&str, &str), rate: &Rate| Step {
        figure,
        formula: format!("{} / ({} + {}) = {} / {}", of(k), of(k), of(others), rate.k, rate.n),
        value: rate.value,
        interval: "Wilson",
    };
    let mut steps = vec![Step {
        figure: "occurrence",
        formula: format!(
            "({} + {}) / {} = {} / {}",
            of(&slip),
            of(&held),
            of(&all),
            figures.occurrence.k,
            figures.occurrence.n
        ),
        value: figures.occurrence.value,
        interval: "Wilson",
    }];
    steps.push(Step {
        figure: "steered",
        formula: steered_formula(evidence, question, &way),
        value: figures.steered.rate.value,
        interval: "log-normal, Jeffreys",
    });
    steps.push(Step {
        figure: "steered_any_order",
        formula: "the sum over the orders, position by position".into(),
        value: any_order.value,
        interval: "log-normal, delta method over the positions",
    });
    steps.push(share("slip_rate", (&slip, &held), &figures.slip_rate));
    steps.push(share("find_rate", (&refuted, &missed), &figures.find_rate));
    let mean = |figure, formula: String, mean: &Mean, interval| Step {
        figure,
        formula,
        value: mean.value,
        interval,
    };
    let from_victims = |label: &str| book.get(label).setter_score(true);
    let from_setters = |label: &str| book.get(label).setter_score(false);
    let shifted = "Tango, shifted";
    steps.push(mean("score_after_slip", from_victims(&slip).0, &figures.score_after_slip, "Tango"));
    steps.push(mean("edge_after_slip", from_victims(&slip).1, &figures.edge_after_slip, shifted));
    steps.push(mean("edge_refuted", from_setters(&refuted).1, &figures.edge_refuted, shifted));
    steps.push(mean("edge_no_slip", from_victims(&held).1, &figures.edge_no_slip, shifted));
    let usual_edge = usual.map_or("there is no bait".into(), |label| from_setters(&label).1);
    steps.push(mean("usual", usual_edge, &figures.usual.edge, shifted));
    steps.extend(made_of(evidence, question, figures));
    let clock = |label: &str| {
        let [n, tenths, _] = book.get(label).clock;
        format!("{label} {tenths} / {n} / 10")
    };
    let by_pace = "gamma, at this mix of paces";
    steps.push(mean("time.slip_s", clock(&slip), &time.slip_s, by_pace));
    steps.push(mean("time.others_s", clock(&held), &time.others_s, by_pace));
    let difference = format!("{} - {}", number(time.slip_s.value), number(time.others_s.value));
    steps.push(mean("time.difference_s", difference, &time.difference_s, "squares added"));
    Explanation { sums: book.sums, steps, orders }
}

/// Figures made of other figures.
fn made_of(evidence: &Evidence, question: &Question, figures: &Figures) -> Vec<Step> {
    let s = number(figures.steered.rate.value);
    let p = number(figures.slip_rate.value);
    let refuted = number(figures.edge_refuted.value);
    let held = number(figures.edge_no_slip.value);
    let usual = number(figures.usual.edge.value);
    let slips = number(figures.slips_per_1000.value);
    let filter = question.filter;
    let replies = evidence.replies(true, filter).plus(evidence.replies(false, filter));
    let replies = number(replies.edge(question.sampling()).value);
    let ahead = &figures.ahead;
    let next = ahead.games;
    let step = |figure, formula, mean: &Mean, interval| Step {
        figure,
        formula,
        value: mean.value,
        interval,
    };
    let combined = "square and add";
    vec![
        step(
            "slips_per_1000",
            format!("1000 x steered {s} x slip_rate {p}"),
            &figures.slips_per_1000,
            "log-normal, Jeffreys",
        ),
        step(
            "worth",
            format!("1000 x {s} x {p} x (edge_refuted {refuted} - edge of all replies {replies})"),
            &figures.worth,
            combined,
        ),
        step("price", format!("usual {usual} - edge_no_slip {held}"), &figures.price, combined),
        step(
            "net",
            format!("1000 x {s} x ({p} x {refuted} + (1 - {p}) x {held} - {usual})"),
            &figures.net,
            combined,
        ),
        step(
            "ahead.expected",
            format!("{next} x {slips} / 1000"),
            &ahead.expected,
            "that of slips_per_1000",
        ),
        step(
            "ahead.at_least_one",
            format!("1 - (1 - {slips} / 1000)^{next}"),
            &ahead.at_least_one,
            "that of slips_per_1000",
        ),
    ]
}

/// `(1500-1599: 8 x 7/8 x 5/7 + 1600-1699: 4 x 4/4 x 3/3) / 12`, a borrowed share in brackets.
fn steered_formula(evidence: &Evidence, question: &Question, way: &[(String, String)]) -> String {
    if way.is_empty() {
        return "1: no choice of the victim comes before".into();
    }
    let nodes = Way { nodes: &evidence.choices, games: evidence.victims_games() };
    let (_, line) = steered(nodes, question);
    let choices = line.pooled.len();
    let band = |(index, (range, games, _)): (usize, &(crate::terms::BandRange, u64, _))| {
        let shares = (0..choices).map(|choice| {
            let (split, borrowed) = line.used(index, choice);
            let text = format!("{}/{}", split.k, split.n);
            if borrowed { format!("[{text}]") } else { text }
        });
        let shares: Vec<String> = shares.collect();
        format!("{}-{}: {games} x {}", range.from, range.below - 1, shares.join(" x "))
    };
    let bands: Vec<String> = line.bands.iter().enumerate().map(band).collect();
    let games: u64 = line.bands.iter().map(|(_, games, _)| games).sum();
    let labels: Vec<String> = way.iter().map(|(k, n)| format!("{k}/({k}+{n})")).collect();
    format!("({}) / {games}; shares {}", bands.join(" + "), labels.join(", "))
}

fn number(value: Option<f64>) -> String {
    value.map_or("withheld".into(), |value| format!("{value:.5}"))
}

/// Sums under way.
struct Book<'a, 'e> {
    evidence: &'a Evidence<'e>,
    filter: MoverFilter,
    sums: Vec<CellSum>,
}

impl Book<'_, '_> {
    fn add(
        &mut self,
        source: &Source<'_>,
        moves: &str,
        wanted: impl Fn(MoveCode) -> bool,
    ) -> String {
        let of_moves = source.counts.into_iter().flat_map(|counts| &counts.moves);
        let cells = of_moves.filter(|mv| wanted(mv.code)).flat_map(|mv| &mv.cells);
        let cells: Vec<(CellId, &Cell)> = cells.map(|(id, cell)| (*id, cell)).collect();
        let mover = source.position.turn();
        let key = Some(Key::of(source.position).to_string());
        self.note(source.place.clone(), key, mover, moves, &cells)
    }

    fn add_totals(&mut self) -> String {
        let victim = self.evidence.victim;
        let rows = self.evidence.totals.rows().filter(|(side, ..)| *side == victim);
        let cells: Vec<(CellId, &Cell)> = rows.map(|(_, id, cell)| (id, cell)).collect();
        self.note("all games".into(), None, victim, "all", &cells)
    }

    fn note(
        &mut self,
        position: String,
        key: Option<String>,
        mover: Color,
        moves: &str,
        cells: &[(CellId, &Cell)],
    ) -> String {
        let label = label(self.sums.len());
        let cells: Vec<_> =
            cells.iter().copied().filter(|(id, _)| self.filter.admits(*id)).collect();
        let sample = Sample::of(cells.iter().copied(), mover, self.evidence.totals);
        let sum: Cell = cells.iter().map(|(_, cell)| *cell).sum();
        let played = |pace: &Pace| cells.iter().any(|(id, _)| id.pace() == *pace);
        self.sums.push(CellSum {
            label: label.clone(),
            position,
            key,
            mover,
            moves: moves.to_owned(),
            from: cells.iter().map(|(id, _)| id.band().from()).min(),
            below: cells.iter().map(|(id, _)| id.band().below()).max(),
            paces: Pace::ALL.into_iter().filter(played).collect(),
            games: sum.games,
            wins: sum.wins,
            draws: sum.draws,
            losses: sum.losses(),
            expected_milli: sum.expected_milli,
            ordinary: sample.ordinary,
            clock: [sum.clock_games, sum.clock_tenths, sum.clock_tenths_sq],
        });
        label
    }

    fn get(&self, label: &str) -> &CellSum {
        self.sums
            .iter()
            .find(|sum| sum.label == label)
            .expect("steps name only sums that were noted")
    }
}

impl CellSum {
    /// Score and edge of the setter in numbers; the cells may be the victim's.
    fn setter_score(&self, victims: bool) -> (String, String) {
        let CellSum { label, games, draws, .. } = self;
        let (won, side) = if victims { (self.losses, "losses") } else { (self.wins, "wins") };
        let score = format!("{label}: ({won} {side} + {draws} draws / 2) / {games}");
        let (expected, ordinary) = match victims {
            true => (1000 * games - self.expected_milli, -self.ordinary),
            false => (self.expected_milli, self.ordinary),
        };
        let edge = format!(
            "{score} - expected {:.3} / {games} - ordinary {ordinary:.5} / {games}",
            expected as f64 / 1000.0
        );
        (score, edge)
    }
}

/// A, B, ... Z, A1, B1, ...
fn label(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    if index < 26 { letter.to_string() } else { format!("{letter}{}", index / 26) }
}
